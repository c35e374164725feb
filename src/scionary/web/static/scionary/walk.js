// A walk past plants: after a tap the next plant stands where this one stood; keys and swipes go from plant to plant.
import { say } from "./hand/say.js";

const SWIPE_PX = 70;
const DOUBLE_TAP_MS = 350; // sooner than this, the same again was not meant, nor anything for a plant that has just come up
const rows = () => [...document.querySelectorAll(".plant-row")];
const next = document.getElementById("next");
const before = document.getElementById("before");
const rest = document.getElementById("rest");
const word = document.getElementById("walk-word");
let here = "";
let arrived = false; // whether the page stands at it: else the way onward leads there first
let last = ""; // where something was tapped last
let tap = { at: -DOUBLE_TAP_MS, on: "", said: "" };
let cameUp = -DOUBLE_TAP_MS; // when a plant came up where the one before it stood
let onTheWay = null; // what was tapped and is not answered yet: { row, button, name, words, onwards, stood, asked, again }
let afterIt = []; // keys and taps meanwhile, to be taken in their order when it is answered
let place = 0;
let from = null;

const at = () => rows().findIndex(({ id }) => id === here);
const unseen = (list) => list.find((row) => !("seen" in row.dataset));

// Where its buttons stand on the screen; a page scrolls by parts of a pixel, and these must not add up.
function line(row) {
  const top = row.querySelector(".signs").getBoundingClientRect().top;
  if (Math.abs(top - place) > 2) place = top;
  return place;
}

// The next one that was not looked at, behind this one and then from the beginning; else simply the one behind it.
function following() {
  const [all, i] = [rows(), at()];
  if (!arrived && i >= 0 && unseen([all[i]])) return all[i];
  return unseen(all.slice(i + 1)) ?? unseen(all.slice(0, Math.max(i, 0))) ?? all[i + 1];
}

const isDone = () => rows().length > 0 && !unseen(rows());
const wayOut = () => isDone() && next.dataset.out;

function mark() {
  for (const row of rows()) row.classList.toggle("now", row.id === here);
  const to = following();
  next.href = wayOut() || (to ? `#${to.id}` : "#main");
  document.getElementById("next-words").textContent = wayOut()
    ? say("Back to {dome}", { dome: next.dataset.dome })
    : to
      ? say("Next: {name}", { name: to.dataset.said })
      : say("To the top");
  before.hidden = at() < 1;
  if (rest) rest.hidden = isDone();
}

const offset = (row, stood) => row.querySelector(".signs").getBoundingClientRect().top - stood;

// Its buttons come where those of the plant before stood, to a thumb that stays where it is: the page is made long enough for that.
function bring(row, stood) {
  const main = document.getElementById("main");
  const by = offset(row, stood);
  const above = -(window.scrollY + by);
  if (above > 0) main.style.marginTop = `${parseFloat(getComputedStyle(main).marginTop) + above}px`;
  const below = window.scrollY + by + window.innerHeight - document.documentElement.scrollHeight;
  if (below > 0) main.style.marginBottom = `${parseFloat(getComputedStyle(main).marginBottom) + below}px`;
  window.scrollBy({ top: offset(row, stood), behavior: "instant" });
}

function go(row, stood = null) {
  here = row?.id ?? "";
  arrived = true;
  mark();
  if (!row) return window.scrollTo({ top: 0 });
  if (stood === null) row.scrollIntoView({ block: "start" });
  else bring(row, stood);
  row.focus({ preventScroll: true });
}

const back = () => at() > 0 && go(rows()[at() - 1]);

function undoLast() {
  const own = document.getElementById(here)?.querySelector(".undo");
  const other = document.getElementById(last)?.querySelector(".undo");
  if (own) return own.click();
  if (other) {
    go(document.getElementById(last));
    other.click();
  }
}

const KEYS = { ArrowRight: () => go(following()), ArrowLeft: back, z: undoLast };

function inSight(row) {
  const { top, bottom } = row.getBoundingClientRect();
  return top >= 0 && bottom <= window.innerHeight;
}

// A key is for the plant that the walk has come to by then; one that is out of sight is only led to.
function key(name) {
  const row = document.getElementById(here);
  const sign = [...(row?.querySelectorAll("[name=saw]") ?? [])].find((button) => button.querySelector("kbd")?.textContent === name.toUpperCase());
  if (sign && !(arrived && inSight(row))) return go(row);
  return (KEYS[name] ?? (() => sign?.click()))();
}

function pressed(event) {
  const { key: name, target, ctrlKey, metaKey, altKey, repeat } = event;
  if (ctrlKey || metaKey || altKey || target.matches("input, select, textarea")) return;
  const own = name.length === 1 ? name.toLowerCase() : name;
  const known = own in KEYS || [...document.querySelectorAll(".plant-row [name=saw] kbd")].some((each) => each.textContent === own.toUpperCase());
  if (!known) return;
  event.preventDefault();
  if (repeat && !own.startsWith("Arrow")) return;
  if (onTheWay) afterIt.push(() => key(own));
  else key(own);
}

const named = (button) => (button.name ? `[name="${button.name}"][value="${button.value}"]` : ".undo");

// Whether a finger touched twice, or touched a plant that it has not seen come up.
function tooSoon(on, said) {
  const now = performance.now();
  return ((said === tap.said || on !== tap.on) && now - tap.at < DOUBLE_TAP_MS) || (on !== tap.on && now - cameUp < DOUBLE_TAP_MS);
}

// The same again while the book is slow is written once, and that is said: a finger that does not see it taken taps again.
function waits(mine) {
  mine.again = true;
  word.textContent = say("{name}: {sign} is on its way to the book. Tapped again, it is written once.", { name: mine.name, sign: mine.words });
}

// What is tapped while a tap is on its way waits for it; one of the first signs leads on, but a loss waits for what is seen on it.
function tapped(event) {
  const button = event.target.closest(".plant-row button, #rest button");
  if (!button) return;
  const row = button.closest(".plant-row");
  const [on, said] = row ? [row.id, named(button)] : ["rest", "rest"];
  const stop = () => event.preventDefault() ?? event.stopImmediatePropagation();
  if (event.detail && tooSoon(on, said)) return stop();
  if (event.detail) tap = { at: performance.now(), on, said };
  if (onTheWay) {
    if (onTheWay.row === on && onTheWay.button === said) waits(onTheWay);
    else afterIt.push(() => (row ? document.getElementById(on)?.querySelector(said) : button)?.click());
    return stop();
  }
  if (!row) return undefined;
  const words = button.firstChild.textContent.trim();
  last = here = on;
  arrived = true;
  mark();
  if (button.name === "saw" && button.classList.contains("chosen")) {
    word.textContent = say("{name}: {sign} is written down already.", { name: row.dataset.said, sign: words });
    return stop();
  }
  const lost = row.querySelector("[name=saw][value=lost].chosen");
  word.textContent = lost && button.name === "saw" && !button.closest(".more") ? say("{name}: {sign} instead of lost.", { name: row.dataset.said, sign: words }) : "";
  const onwards = button.name === "saw" && button.value !== "lost" && !button.closest(".more");
  const mine = { row: on, button: said, name: row.dataset.said, words, onwards, stood: line(row), asked: null, again: false };
  onTheWay = mine;
  setTimeout(() => onTheWay === mine && !mine.asked && (onTheWay = null)); // nothing was asked of the book
  return undefined;
}

function answered({ detail }) {
  if (!onTheWay || detail.xhr !== onTheWay.asked || detail.xhr.status >= 400) return;
  const { row, name, words, onwards, stood, again } = onTheWay;
  onTheWay = null;
  if (again) word.textContent = say("{name}: {sign} is written, once.", { name, sign: words });
  if (onwards && here === row && !isDone()) {
    go(following(), stood);
    cameUp = performance.now();
  } else {
    mark();
    if (here === row) bring(document.getElementById(row), stood);
  }
  while (afterIt.length && !onTheWay) afterIt.shift()();
}

// What was tapped did not come into the book: it is said, and nothing that was typed after it is written on another plant.
function failed({ detail }) {
  if (!onTheWay || detail.successful || detail.xhr !== onTheWay.asked) return;
  const { row, name, words } = onTheWay;
  word.textContent = afterIt.length
    ? say("{name}: {sign} was not written down, nor what came after it. Try it again.", { name, sign: words })
    : say("{name}: {sign} was not written down. Try it again.", { name, sign: words });
  onTheWay = null;
  afterIt = [];
  go(document.getElementById(row));
}

function swiped({ changedTouches: [end] }) {
  const [across, down] = from ? [end.clientX - from.clientX, end.clientY - from.clientY] : [0, 0];
  from = null;
  if (Math.abs(across) < SWIPE_PX || Math.abs(down) > Math.abs(across) / 2) return;
  if (across < 0) go(following());
  else back();
}

function begin() {
  const asked = document.getElementById(location.hash.slice(1));
  here = (asked?.matches(".plant-row") ? asked : unseen(rows()))?.id ?? "";
  arrived = here === asked?.id || (!location.hash && here === rows()[0].id);
  mark();
  document.addEventListener("click", tapped, true);
  document.addEventListener("keydown", pressed);
  document.body.addEventListener("htmx:beforeRequest", ({ detail }) => {
    if (onTheWay) onTheWay.asked = detail.xhr;
  });
  document.body.addEventListener("htmx:beforeSwap", () => {
    const row = onTheWay && document.getElementById(onTheWay.row);
    if (row && inSight(row)) onTheWay.stood = line(row);
  });
  document.body.addEventListener("htmx:afterSettle", answered);
  document.body.addEventListener("htmx:afterRequest", failed);
  next.addEventListener("click", (event) => {
    if (wayOut()) return;
    event.preventDefault();
    go(following());
  });
  before.addEventListener("click", (event) => {
    event.preventDefault();
    back();
  });
  document.addEventListener("touchstart", ({ touches, target }) => {
    from = touches.length === 1 && target.closest(".plant-row") ? touches[0] : null;
  }, { passive: true });
  document.addEventListener("touchend", swiped, { passive: true });
}

// Forms are taken over once the page is whole: a key before that would send one as a page without script does, and lose those behind it.
if (next) {
  if (document.readyState === "complete") begin();
  else window.addEventListener("load", begin, { once: true });
}
