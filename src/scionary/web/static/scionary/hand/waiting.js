// What waits to be sent, what the book could not take and why, and how this phone stands with the book.
import * as clock from "./clock.js";
import { save, takeIn } from "./file.js";
import { known, refresh, unsent } from "./known.js";
import { button, changed, flag, grouped, link, make, show, tell, why } from "./page.js";
import { around, say, several } from "./say.js";
import { codesLeft, contact } from "./send.js";
import { told } from "./signs.js";
import { again, forget } from "./store.js";

const SHOWN = 30;
const surelyGone = new Set(); // refused ones that were asked once to be deleted
let saved = new Set(); // refused ones that went into a file

export function waiting() {
  const count = unsent();
  return show(
    say("Waiting"),
    make(
      "section",
      { class: "sheet wide" },
      make(
        "p",
        { class: "say" },
        count
          ? several(count, "{count} record waits on this phone.", "{count} records wait on this phone.")
          : known.refused.length
            ? say("Nothing waits, but the book could not take all of it.")
            : say("Nothing waits: the book has it all."),
      ),
      count ? why(whyWaiting()) : null,
      signIn(),
      count
        ? make(
            "div",
            { class: "row wrap" },
            button(say("Send now"), sendNow, { class: "main grow", id: "send" }),
            button(say("Save to a file"), saveAll, { class: "grow", id: "save" }),
          )
        : null,
      count ? make("ul", { class: "lines" }, [...known.unsaved, ...[...known.waiting].reverse()].slice(0, SHOWN).map(line)) : null,
      count > SHOWN ? why(say("The latest {count} are shown; all of them are sent.", { count: SHOWN })) : null,
    ),
    known.refused.length ? refusedOnes() : null,
    flagged(),
    phone(),
  );
}

const line = ({ event, local }) =>
  make(
    "li",
    { class: "row" },
    make("span", { class: "grow" }, told({ event, local })),
    make("span", { class: "why" }, clock.asOf(new Date(event.happened_at))),
  );

function whyWaiting() {
  if (known.trouble === "signed-out" || known.trouble === "unknown")
    return say("The book is there, but it does not know this phone any more. All of it stays here until it does.");
  if (known.trouble === "away")
    return say("The book does not answer: no signal, or the machine is off. They are sent by themselves, in order, as soon as it does.");
  return say("They are sent by themselves, in order.");
}

export function signIn() {
  if (known.trouble === "unknown")
    return make(
      "p",
      { class: "flag" },
      around(say("The book does not know this phone any more: {way}. What waits stays here."), {
        way: link(say("give it its name again"), "#/join"),
      }),
    );
  if (known.trouble !== "signed-out") return null;
  return make(
    "p",
    { class: "flag" },
    around(say("Sign in again: {door}. What waits stays on this phone."), {
      door: link(say("to the book's door"), "/account/login/?next=/hand/"),
    }),
  );
}

async function sendNow() {
  tell(say("Sending."));
  await contact(true);
  changed();
}

function saveAll() {
  save();
  saved = new Set(known.refused.map(({ id }) => id));
  changed();
}

function refusedOnes() {
  return make(
    "section",
    { class: "sheet wide" },
    make("h2", {}, several(known.refused.length, "The book could not take {count} record", "The book could not take {count} records")),
    why(say("Put right what it says in the book, then try again; or write it down there by hand.")),
    make("ul", { class: "lines" }, known.refused.map(refusedLine)),
    button(say("Save them to a file"), saveAll, { id: "save-refused" }),
  );
}

function refusedLine(entry) {
  const sure = saved.has(entry.id) || surelyGone.has(entry.id);
  return make(
    "li",
    {},
    make("span", { class: "said" }, told(entry)),
    make("span", { class: "why" }, clock.asOf(new Date(entry.event.happened_at))),
    flag(entry.words || say("No reason was given.")),
    entry.event.kind === "grafted" && entry.local?.code ? byHand(entry.local.code) : null,
    make(
      "div",
      { class: "row wrap" },
      button(say("Try again"), () => tryAgain(entry), { id: `again-${entry.id}` }),
      button(deleteWords(entry, sure), () => remove(entry, sure), {
        id: `delete-${entry.id}`,
        class: "quiet",
      }),
    ),
  );
}

// Written in the book by hand, a graft keeps the code that its label bears.
const byHand = (code) =>
  make(
    "p",
    { class: "why" },
    around(say("Its label says {code}. Written down by hand under {bench}, the graft takes that code as one of a printed label."), {
      code: grouped(code),
      bench: link(say("Bench in the book"), "/bench/"),
    }),
  );

function deleteWords(entry, sure) {
  if (!sure) return say("Delete");
  return saved.has(entry.id) ? say("Delete here") : say("Yes, delete it unsaved");
}

async function tryAgain(entry) {
  await again(entry);
  await refresh();
  await contact(true);
  changed();
}

async function remove(entry, sure) {
  if (!sure) {
    surelyGone.add(entry.id);
    tell(say("It is in no file. Tap again to delete it all the same."));
    return changed();
  }
  await forget(entry.id);
  await refresh();
  tell(say("Deleted on this phone."));
  return changed();
}

function flagged() {
  const found = known.taken.filter(({ flags }) => flags?.length).slice(-8);
  if (!found.length) return null;
  return make(
    "section",
    { class: "sheet wide" },
    make("h2", {}, say("Taken, and flagged")),
    make(
      "ul",
      { class: "lines" },
      found.map((entry) =>
        make(
          "li",
          {},
          make("span", {}, told(entry)),
          entry.flags.map((words) => flag(words)),
        ),
      ),
    ),
  );
}

// How far the phone's clock is off, in words; a positive number of seconds is a slow one.
export function clockWords(off) {
  const minutes = Math.round(Math.abs(off) / 60);
  const [hours, days] = [Math.round(minutes / 60), Math.round(minutes / 1440)];
  const span =
    minutes < 120
      ? several(minutes, "{count} minute", "{count} minutes")
      : hours < 48
        ? several(hours, "{count} hour", "{count} hours")
        : several(days, "{count} day", "{count} days");
  return off > 0
    ? say("This phone's clock is {span} slow. Times are written by the book's clock.", { span })
    : say("This phone's clock is {span} fast. Times are written by the book's clock.", { span });
}

function phone() {
  const off = clock.offsetSeconds();
  const file = make("input", {
    type: "file",
    id: "take-in",
    accept: "application/json,.json",
    onchange: ({ target }) => target.files[0] && takeIn(target.files[0]),
  });
  return make(
    "section",
    { class: "sheet wide" },
    make("h2", {}, known.device ? known.device.name : say("This phone")),
    known.storage ? flag(known.storage) : null,
    why(
      known.snapshot
        ? say("What it knows is as of {time}.", { time: clock.asOf(new Date(known.snapshot.server_now)) })
        : say("It knows nothing of the book yet."),
    ),
    window.isSecureContext
      ? null
      : flag(say("This address is not a secure one: the page opens only where there is a signal. What waits is kept all the same.")),
    known.device ? why(several(codesLeft(), "{count} code for labels left.", "{count} codes for labels left.")) : null,
    Math.abs(off) > 60 ? flag(clockWords(off)) : null,
    make(
      "details",
      {},
      make("summary", {}, say("Take in a saved file")),
      make("label", { for: "take-in" }, say("File saved by this page, here or on another phone")),
      file,
    ),
    link(say("To the whole book"), "/due/", { class: "button quiet" }),
  );
}
