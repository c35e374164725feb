// How to set this scion on this stock: the book is asked as soon as both thicknesses are typed, where there is a signal.
import { flag, make } from "./page.js";
import { say } from "./say.js";
import { reach } from "./send.js";

const SOON_MS = 400; // after the last key
const ASKED = ["cultivar", "method", "lot", "grafter"];
let wanted = "";
let found = null; // { line, drawing, cautions }; or, where the book has no advice now, { line, again }
let timer = 0;

// Ask for the advice on these thicknesses in mm; null or NaN where one is not typed, or is none.
export function advise(here, stock, scion) {
  const question = stock > 0 && scion > 0 ? JSON.stringify([...ASKED.map((name) => here[name] ?? ""), stock, scion]) : "";
  if (question === wanted) return;
  [wanted, found] = [question, null];
  clearTimeout(timer);
  fill();
  if (question) timer = setTimeout(() => look(question, { bench: here, stock_mm: stock, scion_mm: scion }), SOON_MS);
}

async function look(question, body) {
  let told;
  try {
    const answer = await reach("/hand/advice/", body);
    if (!answer.body) throw new Error(`answer ${answer.status}`);
    told = answer.ok ? answer.body : { line: answer.body.words, again: true };
  } catch {
    told = { line: say("How to join them is told where there is a signal."), again: true };
  }
  if (question !== wanted) return; // something else was typed meanwhile
  found = told;
  if (told.again) wanted = `${question} `; // asked again when the page is drawn next
  fill();
}

const LINE = "advice-line";
const WHOLE = "advice";

// The line under the button, and the whole of it beside the thicknesses.
export const adviceLine = () => make("p", { id: LINE, class: "why wide" }, found && !found.again ? found.line : "");
export const adviceWhole = () => make("div", { id: WHOLE, class: "stack", "aria-live": "polite" }, parts());

function parts() {
  if (!found) return [];
  const drawn = found.drawing ? new DOMParser().parseFromString(found.drawing, "text/html").querySelector("figure") : null;
  return [make("p", {}, found.line), drawn && document.importNode(drawn, true), ...(found.cautions ?? []).map((words) => flag(words))].filter(Boolean);
}

function fill() {
  document.getElementById(LINE)?.replaceWith(adviceLine());
  document.getElementById(WHOLE)?.replaceChildren(...parts());
}
