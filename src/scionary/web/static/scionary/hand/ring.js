// The ring: a stem cut across, drawn as far round as the chance of life reaches. The same geometry as on paper.
import { draw } from "./page.js";
import { say } from "./say.js";

const [WIDTH, WOOD, TICK] = [0.3, 0.7, [0.775, 1.225]];
export const REACH = TICK[1];

const at = (share, radius, x, y) => [x + radius * Math.sin(2 * Math.PI * share), y - radius * Math.cos(2 * Math.PI * share)];
const pair = (point) => point.map((value) => value.toFixed(2)).join(" ");

function arc(start, end, radius, x, y) {
  if (end - start <= 1e-9) return "";
  const stops = end - start < 1 - 1e-9 ? [end] : [start + (end - start) / 2, end];
  const large = end - start > 0.5 && stops.length === 1 ? 1 : 0;
  return `M${pair(at(start, radius, x, y))}${stops.map((stop) => `A${radius.toFixed(2)} ${radius.toFixed(2)} 0 ${large} 1 ${pair(at(stop, radius, x, y))}`).join("")}`;
}

export function ring({ chance, mark }, x, y, radius) {
  const [low, mid, high] = mark === "cross" || !chance ? [0, 0, 0] : chance;
  const width = radius * WIDTH;
  const path = (name, d, stroke = width) => (d ? draw("path", { class: name, d, "stroke-width": stroke.toFixed(2) }) : null);
  const arm = radius * 0.45;
  return [
    draw("circle", { class: mark === "cross" ? "wood dead" : "wood", cx: x, cy: y, r: radius * WOOD }),
    draw("circle", { class: "ring-bare", cx: x, cy: y, r: radius, "stroke-width": width }),
    path("ring-possible", arc(low, high, radius, x, y)),
    path("ring-sure", arc(0, low, radius, x, y)),
    high > 0
      ? path("ring-best", `M${pair(at(mid, radius * TICK[0], x, y))}L${pair(at(mid, radius * TICK[1], x, y))}`, radius * 0.13)
      : null,
    mark === "cross"
      ? path("cross", `M${x - arm} ${y - arm}L${x + arm} ${y + arm}M${x + arm} ${y - arm}L${x - arm} ${y + arm}`, 2.4)
      : null,
    mark === "question"
      ? draw("text", { class: "ring-question", x, y: y + radius * 0.29, "font-size": (radius * 0.8).toFixed(1) }, "?")
      : null,
  ];
}

// "52 %, 30 to 75", or what its mark says.
export function chanceWords({ chance, mark }) {
  if (mark === "cross") return say("lost");
  if (!chance) return mark === "question" ? say("not known") : "";
  const [low, mid, high] = chance.map((share) => Math.round(share * 100));
  return say("{mid} %, {low} to {high}", { mid, low, high }).replaceAll(" %", "\u00a0%");
}

export function ringAlone(pot, size, words) {
  const radius = size / 2 / (REACH + 0.02);
  return draw(
    "svg",
    { class: "ring", width: size, height: size, viewBox: `0 0 ${size} ${size}`, role: "img", "aria-label": words },
    ring(pot, size / 2, size / 2, radius),
  );
}
