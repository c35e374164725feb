// What can be seen on a plant: the button's words, the same within a sentence, a short word for the tray, its key, and the record that
// it writes. One that is `last` ends the look at a plant: the round goes on.
import { say, several } from "./say.js";

const WORDS = {
  firm: [say("Firm"), say("firm"), say("firm")],
  unsure: [say("Not sure"), say("not sure"), say("unsure")],
  lost: [say("Lost"), say("lost"), say("lost")],
  drops: [say("Stalk drops"), say("stalk drops"), say("drops")],
  stays: [say("Stalk stays"), say("stalk stays"), say("stays")],
  bud: [say("Bud moving"), say("bud moving"), say("bud")],
  "in-leaf": [say("In leaf"), say("in leaf"), say("leaf")],
  wilting: [say("Wilting"), say("wilting"), say("wilts")],
  mould: [say("Mould"), say("mould"), say("mould")],
  unchanged: [say("Unchanged"), say("unchanged"), say("same")],
};

export const SIGNS = [
  { said: "firm", key: "f", outcome: true, last: true, kind: "scored", payload: { sign: "firm", answer: "yes" } },
  { said: "unsure", key: "n", outcome: true, last: true, kind: "scored", payload: { sign: "firm", answer: "unsure" } },
  { said: "lost", key: "x", outcome: true, kind: "lost", payload: {} },
  { said: "drops", key: "d", leafy: true, kind: "scored", payload: { sign: "stalk_drops", answer: "yes" } },
  { said: "stays", key: "s", leafy: true, kind: "scored", payload: { sign: "stalk_drops", answer: "no" } },
  { said: "bud", key: "b", kind: "scored", payload: { sign: "bud_moving", answer: "yes" } },
  { said: "in-leaf", key: "l", last: true, kind: "scored", payload: { sign: "in_leaf", answer: "yes" } },
  { said: "wilting", key: "w", kind: "observed", payload: { seen: "wilting" } },
  { said: "mould", key: "m", kind: "observed", payload: { seen: "mould" } },
  { said: "unchanged", key: "u", last: true, kind: "observed", payload: { seen: "unchanged" } },
].map((sign) => ({ ...sign, words: WORDS[sign.said][0], within: WORDS[sign.said][1], short: WORDS[sign.said][2] }));

export const signOf = ({ kind, payload }) =>
  SIGNS.find((sign) => sign.kind === kind && Object.entries(sign.payload).every(([name, value]) => payload[name] === value));

const BLADE = { changed: say("Blade changed"), disinfected: say("Blade disinfected") };

export const bladeWords = (how) => BLADE[how] ?? say("Blade cleaned");

const PLAIN = {
  bench_set: say("Bench set"),
  watered: say("Watered"),
  vented: say("Vents set"),
  treated: say("Treated"),
  observed: say("Looked at"),
  scored: say("Sign seen"),
  corrected: say("Undone or corrected"),
};

// One line on a record, for a person.
export function told({ event, local }) {
  if (event.kind === "grafted") return say("Grafted {name}", { name: local?.said ?? say("a plant") });
  if (event.kind === "scions_cut")
    return several(event.payload.sticks, "Cut {count} stick: {name}", "Cut {count} sticks: {name}", { name: local?.name ?? say("a bag") });
  if (event.kind === "blade_cleaned") return bladeWords(event.payload.how);
  const name = local?.said ? `${local.said}: ` : "";
  const note = event.payload.note ? `: ${event.payload.note}` : "";
  return `${name}${signOf(event)?.words ?? PLAIN[event.kind] ?? event.kind}${note}`;
}
