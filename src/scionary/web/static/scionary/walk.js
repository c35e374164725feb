// A walk past plants: after a tap the next plant stands in the same place; keys and swipes go from plant to plant.
import { say } from "./hand/say.js";

const SWIPE_PX = 70;
const rows = () => [...document.querySelectorAll(".plant-row")];
const next = document.getElementById("next");
const before = document.getElementById("before");
let here = "";
let arrived = false; // whether the page stands at it: else the way onward leads there first
let last = ""; // where something was tapped last
let onwards = false; // whether the tap that is on its way leads on to the next plant
let from = null;

const at = () => rows().findIndex(({ id }) => id === here);
const unseen = (list) => list.find((row) => !("seen" in row.dataset));

// The next one that was not looked at, behind this one and then from the beginning; else simply the one behind it.
function following() {
  const [all, i] = [rows(), at()];
  if (!arrived && i >= 0 && unseen([all[i]])) return all[i];
  return unseen(all.slice(i + 1)) ?? unseen(all.slice(0, Math.max(i, 0))) ?? all[i + 1];
}

function mark() {
  for (const row of rows()) row.classList.toggle("now", row.id === here);
  const to = following();
  next.href = to ? `#${to.id}` : "#main";
  document.getElementById("next-words").textContent = to ? say("Next: {name}", { name: to.dataset.said }) : say("To the top");
  before.hidden = at() < 1;
}

function go(row) {
  here = row?.id ?? "";
  arrived = true;
  mark();
  if (!row) return window.scrollTo({ top: 0 });
  row.scrollIntoView({ block: "start" });
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

function pressed(event) {
  const { key, target, ctrlKey, metaKey, altKey } = event;
  if (ctrlKey || metaKey || altKey || target.matches("input, select, textarea")) return;
  const own = KEYS[key.length === 1 ? key.toLowerCase() : key];
  const sign = [...(document.getElementById(here)?.querySelectorAll("[name=saw]") ?? [])].find(
    (button) => button.querySelector("kbd")?.textContent === key.toUpperCase(),
  );
  if (!own && !sign) return;
  event.preventDefault();
  (own ?? (() => sign.click()))();
}

// One of the first signs leads on, but a loss waits for what is seen on it.
function tapped({ target }) {
  const button = target.closest(".plant-row button");
  if (!button) return;
  last = here = button.closest(".plant-row").id;
  arrived = true;
  onwards = button.name === "saw" && button.value !== "lost" && !button.closest(".more");
  mark();
}

if (next) {
  const asked = document.getElementById(location.hash.slice(1));
  here = (asked?.matches(".plant-row") ? asked : unseen(rows()))?.id ?? "";
  arrived = here === asked?.id || (!location.hash && here === rows()[0].id);
  mark();
  document.addEventListener("click", tapped, true);
  document.addEventListener("keydown", pressed);
  document.body.addEventListener("htmx:afterSettle", () => {
    if (onwards) go(following());
    else mark();
    onwards = false;
  });
  next.addEventListener("click", (event) => {
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
  document.addEventListener("touchend", ({ changedTouches: [end] }) => {
    const [across, down] = from ? [end.clientX - from.clientX, end.clientY - from.clientY] : [0, 0];
    from = null;
    if (Math.abs(across) < SWIPE_PX || Math.abs(down) > Math.abs(across) / 2) return;
    if (across < 0) go(following());
    else back();
  }, { passive: true });
}
