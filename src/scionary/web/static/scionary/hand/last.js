// The look at a plant from which the round went on by itself: it can be undone from the next plant, or from the tray.
import { own } from "./known.js";
import { button, go } from "./page.js";
import { say } from "./say.js";
import { undo } from "./write.js";

let last = null; // { dome, pot, sign, entries }

export const remember = (look) => {
  last = look;
};

export function undoLastLook(dome) {
  if (last?.dome !== dome || !own().some(({ event }) => event.id === last.entries[0].event.id)) return null;
  const { pot, sign, entries } = last;
  return button(say("Undo: {name} {sign}", { name: pot.said, sign: sign.within }), () => back(entries, pot), {
    id: "undo",
    class: "quiet",
    "aria-keyshortcuts": "Z",
  });
}

async function back(entries, pot) {
  const { dome } = last;
  await undo(entries);
  go(`#/round/${dome}/${pot.plant}`);
}
