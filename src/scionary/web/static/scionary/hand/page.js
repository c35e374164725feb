// The frame of the page: its heading, what it shows, what is said aloud, and elements made without a string of HTML.
import { say } from "./say.js";

const SVG = "http://www.w3.org/2000/svg";
let whenChanged = () => {};

function built(element, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === false || value === null || value === undefined) continue;
    if (name.startsWith("on") || name === "value") element[name] = value;
    else element.setAttribute(name, value === true ? "" : value);
  }
  element.append(...children.flat(9).filter((child) => child !== null && child !== undefined && child !== false));
  return element;
}

export const make = (tag, attributes = {}, ...children) => built(document.createElement(tag), attributes, children);
export const draw = (tag, attributes = {}, ...children) => built(document.createElementNS(SVG, tag), attributes, children);

export const button = (words, onclick, attributes = {}) => make("button", { type: "button", onclick, ...attributes }, words);
export const link = (words, href, attributes = {}) => make("a", { href, ...attributes }, words);
export const sheet = (...children) => make("section", { class: "sheet" }, ...children);
export const why = (...words) => make("p", { class: "why" }, ...words);
export const flag = (...words) => make("p", { class: "flag" }, ...words);

export function field(label, control, help = "") {
  const id = control.id;
  return make("div", { class: "field" }, make("label", { for: id }, label), control, help ? make("p", { class: "help" }, help) : null);
}

export function choice(id, options, chosen, attributes = {}) {
  const list = options.map(({ value, words }) => make("option", { value, selected: value === chosen ? true : null }, words));
  return make("select", { id, ...attributes }, list);
}

// Put a screen in place; on the same screen, what is open, scrolled or focused stays so.
export function show(heading, ...content) {
  const [main, title] = [document.getElementById("main"), document.getElementById("heading")];
  const same = title.textContent === heading;
  const here = document.activeElement?.id;
  const open = [...main.querySelectorAll("details[open] > summary")].map(({ textContent }) => textContent);
  const moved = [...main.querySelectorAll(".scroll")].map(({ scrollLeft }) => scrollLeft);
  title.textContent = heading;
  document.title = `${heading} · ${say("Scionary in the hand")}`;
  main.replaceChildren(...content.flat(9).filter(Boolean));
  if (!same) return;
  for (const summary of main.querySelectorAll("summary")) if (open.includes(summary.textContent)) summary.parentElement.open = true;
  [...main.querySelectorAll(".scroll")].forEach((each, i) => (each.scrollLeft = moved[i] ?? 0));
  if (here) document.getElementById(here)?.focus({ preventScroll: true });
}

// Said by a screen reader; the same words twice are said twice.
export function tell(words) {
  const place = document.getElementById("told");
  place.textContent = place.textContent === words ? `${words}\u00a0` : words;
}

export const onChange = (call) => {
  whenChanged = call;
};
export const changed = (quietly = false) => whenChanged(quietly);
export const go = (hash) => {
  location.hash = hash;
};
export const grouped = (code) => (code?.length === 7 ? `${code.slice(0, 3)} ${code.slice(3)}` : (code ?? ""));
