// What waits to be sent, what the book could not take and why, and how this phone stands with the book.
import * as clock from "./clock.js";
import { save, takeIn } from "./file.js";
import { known, refresh, unsent } from "./known.js";
import { button, changed, flag, link, make, many, say, show, why } from "./page.js";
import { codesLeft, contact } from "./send.js";
import { told } from "./signs.js";
import { again, forget } from "./store.js";

const SHOWN = 30;
const surelyGone = new Set(); // refused ones that were asked once to be deleted
let saved = new Set(); // refused ones that went into a file

export function waiting() {
  const count = unsent();
  return show(
    "Waiting",
    make(
      "section",
      { class: "sheet wide" },
      make(
        "p",
        { class: "say" },
        count
          ? `${count} ${count === 1 ? "record waits" : "records wait"} on this phone.`
          : known.refused.length
            ? "Nothing waits, but the book could not take all of it."
            : "Nothing waits: the book has it all.",
      ),
      count ? why(whyWaiting()) : null,
      signIn(),
      count
        ? make(
            "div",
            { class: "row wrap" },
            button("Send now", sendNow, { class: "main grow", id: "send" }),
            button("Save to a file", saveAll, { class: "grow", id: "save" }),
          )
        : null,
      count ? make("ul", { class: "lines" }, [...known.unsaved, ...[...known.waiting].reverse()].slice(0, SHOWN).map(line)) : null,
      count > SHOWN ? why(`The latest ${SHOWN} are shown; all of them are sent.`) : null,
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
    return "The book is there, but it does not know this phone any more. All of it stays here until it does.";
  if (known.trouble === "away")
    return "The book does not answer: no signal, or the machine is off. They are sent by themselves, in order, as soon as it does.";
  return "They are sent by themselves, in order.";
}

export function signIn() {
  if (known.trouble === "unknown")
    return make(
      "p",
      { class: "flag" },
      "The book does not know this phone any more: ",
      link("give it its name again", "#/join"),
      ". What waits stays here.",
    );
  if (known.trouble !== "signed-out") return null;
  return make(
    "p",
    { class: "flag" },
    "Sign in again: ",
    link("to the book's door", "/account/login/?next=/hand/"),
    ". What waits stays on this phone.",
  );
}

async function sendNow() {
  say("Sending.");
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
    make("h2", {}, `The book could not take ${many(known.refused.length, "record")}`),
    why("Put right what it says in the book, then try again; or write it down there by hand."),
    make("ul", { class: "lines" }, known.refused.map(refusedLine)),
    button("Save them to a file", saveAll, { id: "save-refused" }),
  );
}

function refusedLine(entry) {
  const sure = saved.has(entry.id) || surelyGone.has(entry.id);
  return make(
    "li",
    {},
    make("span", { class: "said" }, told(entry)),
    make("span", { class: "why" }, clock.asOf(new Date(entry.event.happened_at))),
    flag(entry.words || "No reason was given."),
    make(
      "div",
      { class: "row wrap" },
      button("Try again", () => tryAgain(entry), { id: `again-${entry.id}` }),
      button(sure ? (saved.has(entry.id) ? "Delete here" : "Yes, delete it unsaved") : "Delete", () => remove(entry, sure), {
        id: `delete-${entry.id}`,
        class: "quiet",
      }),
    ),
  );
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
    say("It is in no file. Tap again to delete it all the same.");
    return changed();
  }
  await forget(entry.id);
  await refresh();
  say("Deleted on this phone.");
  return changed();
}

function flagged() {
  const found = known.taken.filter(({ flags }) => flags?.length).slice(-8);
  if (!found.length) return null;
  return make(
    "section",
    { class: "sheet wide" },
    make("h2", {}, "Taken, and flagged"),
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
    make("h2", {}, known.device ? known.device.name : "This phone"),
    known.storage ? flag(known.storage) : null,
    why(
      known.snapshot ? `What it knows is as of ${clock.asOf(new Date(known.snapshot.server_now))}.` : "It knows nothing of the book yet.",
    ),
    window.isSecureContext
      ? null
      : flag("This address is not a secure one: the page opens only where there is a signal. What waits is kept all the same."),
    known.device ? why(`${many(codesLeft(), "code")} for labels left.`) : null,
    Math.abs(off) > 60
      ? flag(
          `This phone's clock is ${Math.round(Math.abs(off) / 60)} minutes ${off > 0 ? "slow" : "fast"}. Times are written by the book's clock.`,
        )
      : null,
    make(
      "details",
      {},
      make("summary", {}, "Take in a saved file"),
      make("label", { for: "take-in" }, "File saved by this page, here or on another phone"),
      file,
    ),
    link("To the whole book", "/due/", { class: "button quiet" }),
  );
}
