// The book's verdict on this morning at a tree: a ring that tells it by its form, its word, and its reason. It holds for its own day alone.
import * as clock from "./clock.js";
import { draw, make, why } from "./page.js";
import { say } from "./say.js";

const KINDS = { good: "living", doubt: "doubt", bad: "dead" };
const RINGS = {
  good: [["circle", { class: "ring-sure", cx: 12, cy: 12, r: 9, "stroke-width": 3.4 }]],
  doubt: [["circle", { class: "fill-none stroke-doubt", cx: 12, cy: 12, r: 9, "stroke-width": 2.6, "stroke-dasharray": "4 3" }]],
  bad: [
    ["circle", { class: "ring-bare", cx: 12, cy: 12, r: 9, "stroke-width": 2 }],
    ["path", { class: "cross", d: "M6 6 18 18M18 6 6 18", "stroke-width": 2.6 }],
  ],
};

const stem = (rating) => draw("circle", { class: rating === "bad" ? "wood dead" : "wood", cx: 12, cy: 12, r: 5.5 });

const sign = (rating) =>
  draw(
    "svg",
    { class: "ring", viewBox: "0 0 24 24", width: 24, height: 24, "aria-hidden": "true" },
    stem(rating),
    RINGS[rating].map(([tag, attributes]) => draw(tag, attributes)),
  );

const ofToday = ({ morning }) => (morning && morning.day === clock.day() && KINDS[morning.rating] ? morning : null);

// Whole ring: good; dashed: in doubt; crossed out: not this morning; nothing where the book said nothing of today.
export function verdict(tree) {
  const found = ofToday(tree);
  return found ? make("span", { class: `verdict ${KINDS[found.rating]}` }, sign(found.rating), " ", found.words) : null;
}

// The same with its reason; a verdict of another day is not shown, and that is said.
export function morning(tree) {
  if (!tree.morning) return null;
  const found = ofToday(tree);
  if (!found) return why(say("What the book said of the morning was for another day. Open this page where there is a signal."));
  return [
    make("p", { id: "morning" }, say("Is this a morning to cut?"), " ", verdict(tree)),
    why(found.why),
    found.better ? why(say("Better: {day}.", { day: found.better })) : null,
  ];
}
