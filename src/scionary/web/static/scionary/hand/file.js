// What waits, as a file that a person keeps; and such a file taken in again, on this phone or another.
import { known, refresh } from "./known.js";
import { changed, make, tell } from "./page.js";
import { say, several } from "./say.js";
import { add } from "./store.js";

export function save() {
  const part = (entries) => entries.map(({ event, local, words }) => ({ event, local, ...(words ? { words } : {}) }));
  const held = {
    kept_by: "Scionary",
    version: 1,
    saved_at: new Date().toISOString(),
    phone: known.device?.name ?? "",
    waiting: part([...known.waiting, ...known.unsaved]),
    refused: part(known.refused),
  };
  const address = URL.createObjectURL(new Blob([JSON.stringify(held, null, 1)], { type: "application/json" }));
  const anchor = make("a", { href: address, download: `scionary-waiting-${held.saved_at.slice(0, 16).replace(":", "")}.json` });
  document.body.append(anchor);
  anchor.click();
  anchor.remove();
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
  tell(several(held.waiting.length + held.refused.length, "{count} record is saved to a file.", "{count} records are saved to a file."));
}

export async function takeIn(file) {
  let held;
  try {
    held = JSON.parse(await file.text());
  } catch {
    held = null;
  }
  const given = [...(held?.waiting ?? []), ...(held?.refused ?? [])].filter(
    ({ event }) => typeof event?.id === "string" && event.kind && Array.isArray(event.subjects),
  );
  if (held?.kept_by !== "Scionary" || !given.length) return tell(say("That file holds no records that were saved here."));
  const there = new Set([...known.waiting, ...known.taken, ...known.refused, ...known.unsaved].map(({ event }) => event.id));
  const fresh = given.filter(({ event }) => !there.has(event.id));
  await add(() => fresh.map(({ event, local = {} }) => ({ event, local, tried: true, group: null })));
  await refresh();
  tell(several(fresh.length, "{count} of {all} was new and waits now.", "{count} of {all} were new and wait now.", { all: given.length }));
  return changed();
}
