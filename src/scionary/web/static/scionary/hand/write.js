// Writing down: a record is kept on the phone first, then it may be sent. Nothing is lost when the phone is full.
import { moment, now, offsetSeconds } from "./clock.js";
import { uuid7 } from "./ids.js";
import { known, refresh } from "./known.js";
import { changed, tell } from "./page.js";
import { say } from "./say.js";
import { contact } from "./send.js";
import * as store from "./store.js";

const FULL = say(
  "The phone could not keep that: its storage is full or closed. It is held until this page closes. Save it to a file now.",
);

// `what` lists { kind, subjects, payload, local }; a `code` that is true takes the next number of this phone's lease, one that is
// given is the number on a label printed before. `local` is for this phone alone and is never sent. `then` hears of them before the
// page is drawn again.
export async function write(what, { group = null, said = say("Written down."), then = () => {} } = {}) {
  const at = moment().toISOString();
  const make = (spent) => what.map((one) => entryOf(one, at, group, spent));
  let entries;
  try {
    entries = await store.add(make);
    await keepUnsaved();
  } catch {
    entries = make(new Set(spentInMemory()));
    known.unsaved.push(...entries);
    known.storage = FULL;
  }
  then(entries);
  await refresh().catch(() => {});
  tell(known.unsaved.length ? FULL : said);
  changed();
  contact();
  return entries;
}

function entryOf({ kind, subjects, payload = {}, local = {}, code = null }, at, group, spent) {
  const event = { id: uuid7(now()), kind, happened_at: at, subjects, payload: { ...payload }, clock_offset_s: offsetSeconds() };
  const own = { ...local };
  if (code !== null) {
    const found = code === true ? nextCode(spent) : code;
    if (found) {
      spent.add(found.number);
      event.payload.code_number = found.number;
      own.code = found.code;
    }
  }
  return { event, tried: false, group, local: own };
}

const nextCode = (spent) => known.snapshot?.codes?.find(({ number }) => !spent.has(number));

const spentInMemory = () =>
  [...known.taken, ...known.waiting, ...known.unsaved]
    .map(({ event }) => event.payload.code_number)
    .filter((number) => number !== undefined);

// What could not be kept before may be kept now.
async function keepUnsaved() {
  if (!known.unsaved.length) return;
  const held = [...known.unsaved];
  await store.add((spent) => {
    for (const { event } of held) if (event.payload.code_number !== undefined) spent.add(event.payload.code_number);
    return held;
  });
  known.unsaved = known.unsaved.filter((entry) => !held.includes(entry));
  if (known.storage === FULL) known.storage = "";
}

// It tells which corrections of the same record this phone made before, since it overrules them.
function correction({ event }, more = {}) {
  const before = [...known.taken, ...known.waiting, ...known.unsaved].filter((other) => other.event.payload.target === event.id);
  const knew = before.length ? { knew: before.map((other) => other.event.id) } : {};
  return { kind: "corrected", subjects: event.subjects, payload: { target: event.id, ...knew, ...more } };
}

// Undo: taken out of the queue when it never left, else corrected.
export async function undo(entries, said = say("Undone.")) {
  const gone = [];
  const corrections = [];
  for (const entry of entries) {
    if (known.unsaved.includes(entry)) {
      known.unsaved = known.unsaved.filter((other) => other !== entry);
      gone.push(entry);
    } else if (entry.n !== undefined && (await store.takeBack(entry.n).catch(() => false))) {
      gone.push(entry);
    } else {
      corrections.push(correction(entry));
    }
  }
  if (corrections.length) return write(corrections, { said });
  await refresh();
  tell(said);
  changed();
  return gone;
}

// Say more of a record that was just written: put into it while it waits, else a correction.
export async function amend(entry, fields, said) {
  if (known.unsaved.includes(entry)) Object.assign(entry.event.payload, fields);
  else if (!(await store.amend(entry.n, fields).catch(() => false))) {
    return write([correction(entry, { replace: fields })], { said });
  }
  await refresh();
  tell(said);
  changed();
  return [];
}
