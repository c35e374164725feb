// Keying a sheet by keyboard: arrows from box to box, a letter ticks its box, Enter goes on to the next row. Without it the page is a plain form.
import { say, several } from "./hand/say.js";

const form = document.querySelector("[data-paper]");
const rows = [...form.querySelectorAll("[data-row]")];
const fields = (row) => [...row.querySelectorAll("input:not([type=hidden]):not(:disabled)")];
const isText = ({ type }) => type === "text";
const count = document.getElementById("paper-count");
document.querySelector(".paper-keys").hidden = false; // the stylesheet shows it where there is a keyboard

form.addEventListener("change", ({ target }) => {
  if (target.checked && target.dataset.either) alone(target);
  told();
});
document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.altKey || event.metaKey) return;
  const here = document.activeElement?.closest?.("[data-row]");
  if (pressed(event, here)) event.preventDefault();
});

// Of several that cannot be together only the one just ticked stays.
function alone(box) {
  const groups = box.dataset.either.split(" ");
  for (const other of fields(box.closest("[data-row]")))
    if (other !== box && other.checked && other.dataset.either?.split(" ").some((group) => groups.includes(group))) other.checked = false;
}

function pressed(event, here) {
  const { key, target } = event;
  if (!here) return (key === "ArrowDown" || key === "Enter") && target === document.body && enter(rows[0]);
  if (key === "Enter") return enter(rows[rows.indexOf(here) + 1]);
  if (key === "ArrowDown" || key === "ArrowUp") return target.type !== "radio" && beside(here, target, key === "ArrowDown" ? 1 : -1);
  if (isText(target) || target.type === "radio" || target.type === "date") return false;
  if (key === "ArrowRight" || key === "ArrowLeft") return along(here, target, key === "ArrowRight" ? 1 : -1);
  return tick(here, key.toLowerCase());
}

function enter(row) {
  const next = row ? fields(row)[0] : document.getElementById("paper-submit");
  next.focus();
  (row ?? next).scrollIntoView({ block: "nearest" });
  return true;
}

// The same box of the row above or below.
function beside(row, field, step) {
  const next = rows[rows.indexOf(row) + step];
  if (!next) return step > 0 ? enter() : true;
  const like = fields(next).find(({ name, value, type }) => name[0] === field.name[0] && (type === "text" || value === field.value));
  if (!like) return enter(next);
  like.focus();
  return true;
}

function along(row, field, step) {
  fields(row)[fields(row).indexOf(field) + step]?.focus();
  return true;
}

function tick(row, key) {
  const box = fields(row).find(({ dataset }) => dataset.key && dataset.key === key);
  if (!box) return false;
  box.checked = !box.checked;
  box.focus();
  box.dispatchEvent(new Event("change", { bubbles: true }));
  return true;
}

function told() {
  const plants = rows.filter((row) => row.id);
  const ticked = plants.filter((row) => fields(row).some(({ checked }) => checked)).length;
  count.textContent = say("{rows} ticked, {rest} not looked at. Not written yet.", {
    rows: several(ticked, "{count} row", "{count} rows"),
    rest: plants.length - ticked,
  });
}
