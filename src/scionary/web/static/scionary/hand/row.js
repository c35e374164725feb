// The day's work as it stands on the bench: stems cut across in a row, a dashed cut where the blade was cleaned, bare places to come.
import { draw, make } from "./page.js";
import { ring } from "./ring.js";
import { say, several } from "./say.js";

const STEP = 40;
const MOST = 60;

export function dayRow(made, cleanings, left) {
  if (!made.length && !(left > 0)) return null;
  const shown = made.slice(-MOST);
  const open = Math.max(0, Math.min(left ?? 0, 12));
  const width = (shown.length + open) * STEP + 12;
  const cuts = cleanings.map(({ event }) => shown.filter(({ at }) => !at || at < event.happened_at).length);
  const count = made.length;
  const words = [
    left > 0 ? say("{count} made, {left} to come", { count, left }) : say("{count} made", { count }),
    cuts.length ? several(cuts.length, "the blade was cleaned once", "the blade was cleaned {count} times") : "",
  ];
  return make(
    "div",
    { class: "scroll row-of-day", tabindex: "0", role: "group", "aria-label": say("The day's row") },
    draw(
      "svg",
      { class: "natural", width, height: 58, viewBox: `0 0 ${width} 58`, role: "img", "aria-label": words.filter(Boolean).join("; ") },
      shown.map((each, i) => [
        ring({ chance: null, mark: "" }, STEP * i + 22, 20, 12),
        draw("text", { class: "soft middle", x: STEP * i + 22, y: 52 }, each.said.split(" ").at(-1)),
      ]),
      Array.from({ length: open }, (_, i) => draw("circle", { class: "pot-empty", cx: STEP * (shown.length + i) + 22, cy: 20, r: 13 })),
      cuts.map((after) => draw("path", { class: "blade-cut", d: `M${STEP * after + 2} 2V40` })),
    ),
  );
}
