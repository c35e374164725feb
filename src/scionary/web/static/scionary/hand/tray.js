// A dome's tray from above at true proportions; each pot leads to its plant, what was seen today stands on it.
import { draw, make } from "./page.js";
import { chanceWords, REACH, ring } from "./ring.js";
import { say } from "./say.js";

const PHONE = 306;
const LEAST_POT = 54;
const LETTER = 0.6;

export function tray(dome, pots, address, { seen, here }) {
  const placed = pots.filter(({ x_mm, y_mm }) => x_mm >= 0 && y_mm >= 0);
  if (!placed.length) return null;
  const across = Math.max(...placed.map(({ size_mm }) => size_mm));
  const width = Math.max(PHONE, (dome.length_mm / across) * LEAST_POT);
  const perMm = (width - 12) / dome.length_mm;
  const height = dome.width_mm * perMm + 28;
  const wide = width > PHONE;
  const letters = lettersFor(placed, across * perMm);
  return make(
    "div",
    { class: "scroll" },
    draw(
      "svg",
      {
        viewBox: `0 0 ${width.toFixed(1)} ${height.toFixed(1)}`,
        role: "group",
        "aria-label": say("{dome} from above", { dome: dome.name }),
        class: wide ? "natural" : null,
        width: wide ? width.toFixed(1) : null,
        height: wide ? height.toFixed(1) : null,
      },
      draw("rect", { class: "tray-wall", x: 2, y: 2, width: width - 4, height: height - 20, rx: 10 }),
      draw("rect", { class: "tray-floor", x: 5, y: 5, width: width - 10, height: height - 26, rx: 7 }),
      placed.map((pot) =>
        place(pot, 6 + pot.x_mm * perMm, 6 + (dome.width_mm - pot.y_mm) * perMm, pot.size_mm * perMm, address, { seen, here, letters }),
      ),
      draw("text", { class: "soft middle small", x: width / 2, y: height - 4 }, say("near side")),
    ),
  );
}

// A tray in little: bare rings still to see, filled ones seen today, dashed ones free. The words beside it say the same.
export function littleTray(dome, pots, isSeen) {
  const placed = pots.filter(({ x_mm, y_mm }) => x_mm >= 0 && y_mm >= 0);
  if (!placed.length) return null;
  const [width, perMm] = [80, 76 / dome.length_mm];
  const height = Math.round(dome.width_mm * perMm + 4);
  const round = (pot) => [
    2 + pot.x_mm * perMm,
    2 + (dome.width_mm - pot.y_mm) * perMm,
    Math.max(1.5, (pot.size_mm * perMm) / 2 - 1.5),
    pot,
  ];
  const dot = ([cx, cy, r, pot]) =>
    draw("circle", { class: pot.plant ? (isSeen(pot) ? "little-seen" : "little-unseen") : "little-free", cx, cy, r });
  return draw(
    "svg",
    { class: "ring", width, height, viewBox: `0 0 ${width} ${height}`, "aria-hidden": "true" },
    draw("rect", { class: "tray-wall", x: 1, y: 1, width: width - 2, height: height - 2, rx: 4 }),
    placed.map((pot) => dot(round(pot))),
  );
}

function place(pot, x, y, size, address, { seen, here, letters }) {
  const outline = (name) =>
    pot.round
      ? draw("circle", { class: name, cx: x, cy: y, r: size / 2 - 1.5 })
      : draw("rect", { class: name, x: x - size / 2 + 1.5, y: y - size / 2 + 1.5, width: size - 3, height: size - 3, rx: 6 });
  if (!pot.plant) return draw("g", {}, draw("title", {}, say("place {number}: free", { number: pot.place })), outline("pot-empty"), number(pot, x, y, size));
  const said = seen(pot);
  const words = [
    pot.said,
    pot.place ? say("place {number}", { number: pot.place }) : "",
    said.length ? say("seen today: {signs}", { signs: said.map((sign) => sign.words).join(", ") }) : "",
    chanceWords(pot),
  ];
  const lines = nameLines(pot.said, Math.max(5, Math.floor((size * 0.93) / (letters * LETTER))));
  const radius = Math.max(6, Math.min((size - lines.length * letters * 1.08 - 6 - 9) / 2 / REACH, size * 0.25));
  const middle = y - size / 2 + 11 + radius * REACH;
  const lost = said.at(-1)?.said === "lost";
  return draw(
    "a",
    {
      href: address(pot),
      id: `pot-${pot.plant}`,
      "aria-label": words.filter(Boolean).join(", "),
      "aria-current": here === pot.plant ? "true" : null,
    },
    outline(`pot${said.length ? " pot-seen" : ""}`),
    ring(lost ? { ...pot, mark: "cross" } : pot, x, middle, radius),
    number(pot, x, y, size),
    said.length
      ? draw("text", { class: "end seen-word", x: x + size / 2 - 5, y: y - size / 2 + 11.5, "font-size": 8.5 }, `✓ ${said.at(-1).short}`)
      : null,
    lines.map((line, i) =>
      draw(
        "text",
        { class: "soft middle", x, y: middle + radius * REACH + letters * (0.95 + 1.08 * i), "font-size": letters.toFixed(1) },
        line,
      ),
    ),
  );
}

const number = (pot, x, y, size) =>
  draw(
    "text",
    {
      class: "soft place",
      x: pot.round ? x - size * 0.38 : x - size / 2 + 5,
      y: pot.round ? y - size * 0.18 : y - size / 2 + 11.5,
      "font-size": 8.5,
    },
    pot.place || "",
  );

// The height of letters at which the longest word in any pot still fits; never too small to read.
function lettersFor(pots, size) {
  const longest = Math.max(6, ...pots.flatMap(({ said }) => (said ?? "").split(" ").map((word) => word.length)));
  return Math.max(8.5, Math.min(11, (size * 0.93) / (longest * LETTER)));
}

const shortened = (text, longest) => (text.length <= longest ? text : `${text.slice(0, longest - 1)}…`);

function nameLines(name, longest) {
  if (name.length <= longest || !name.includes(" ")) return [shortened(name, longest)];
  const words = name.split(" ");
  const count = words.pop();
  const last = `${words.at(-1)} ${count}`;
  if (words.length > 1 && last.length <= longest) return [shortened(words.slice(0, -1).join(" "), longest), last];
  return [shortened(words.join(" "), longest), count];
}
