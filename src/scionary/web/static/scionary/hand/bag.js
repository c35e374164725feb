// A bag of scions that was cut here: what to write on it, how fresh it is, and its undo.
import * as clock from "./clock.js";
import { graftedFrom } from "./known.js";
import { button, changed, grouped, make, tell, why } from "./page.js";
import { say, several } from "./say.js";
import { undo } from "./write.js";

export const CARE = [
  ["", say("not said")],
  ["stalks_left", say("blades off, stalks left")],
  ["half_blades", say("half of each blade off")],
  ["whole_leaves", say("leaves left whole")],
  ["dormant", say("dormant, no leaves")],
];
let asked = ""; // the bag whose undo was asked about

function hours(entry) {
  const minutes = Math.max(0, Math.round((clock.now() - Date.parse(entry.event.happened_at)) / 60_000));
  return minutes < 60
    ? several(minutes, "{count} minute ago", "{count} minutes ago")
    : minutes < 2880
      ? several(Math.floor(minutes / 60), "{count} hour ago", "{count} hours ago")
      : several(Math.floor(minutes / 1440), "{count} day ago", "{count} days ago");
}

const sticksWords = (count) => several(count, "{count} stick", "{count} sticks");

const bagWords = (entry) => [
  make("span", { class: "said" }, entry.local.name),
  make(
    "span",
    { class: "why" },
    say("{sticks}, cut {ago}", { sticks: sticksWords(entry.event.payload.sticks), ago: hours(entry) }),
    entry.local.code ? ` · ${grouped(entry.local.code)}` : "",
  ),
];

export const bagLine = (entry) => make("li", {}, bagWords(entry));

export function bagLabel(entry, spoken, found) {
  const at = new Date(entry.event.happened_at);
  const { sticks, care } = entry.event.payload;
  return make(
    "section",
    { class: "sheet wide label-made" },
    why(say("Write on the bag")),
    make("p", { class: "spoken" }, `${spoken}, ${sticksWords(sticks)}`),
    make("p", { class: "spoken code" }, entry.local.code ? grouped(entry.local.code) : say("code pending")),
    make("p", {}, `${clock.date(at)}, ${clock.time(at)} · ${found.name}`),
    care ? why(CARE.find(([value]) => value === care)?.[1] ?? "") : null,
    button(
      several(sticks, "Undo this {count}", "Undo these {count}"),
      () => undoCut(entry),
      { id: "undo" },
    ),
    askedOf(entry),
  );
}

// Bags cut here before the last one, each with its undo.
export const earlier = (cuts) =>
  make(
    "section",
    { class: "sheet wide" },
    make("h2", {}, say("Cut here before")),
    make(
      "ul",
      { class: "lines" },
      [...cuts].reverse().map((entry) =>
        make(
          "li",
          { class: "row" },
          make("span", { class: "grow" }, bagWords(entry), askedOf(entry)),
          button(say("Undo"), () => undoCut(entry), {
            class: "quiet",
            id: `undo-${entry.event.id}`,
            "aria-label": say("Undo: {what}", { what: entry.local.name }),
          }),
        ),
      ),
    ),
  );

const question = (entry) =>
  several(
    graftedFrom(entry.local.bag).length,
    "{count} graft made here names this bag. Tap Undo again if it was never cut.",
    "{count} grafts made here name this bag. Tap Undo again if it was never cut.",
  );

const askedOf = (entry) => (asked === entry.event.id ? make("span", { class: "flag" }, question(entry)) : null);

// A bag that was grafted from here is asked about: its grafts go on naming it.
function undoCut(entry) {
  if (graftedFrom(entry.local.bag).length && asked !== entry.event.id) {
    asked = entry.event.id;
    tell(question(entry));
    return changed();
  }
  asked = "";
  return undo([entry], say("Undone. Throw the bag's label away: its code is not used again."));
}
