// The book's clock as this phone knows it: its own, moved by what it was off at the last contact.
import { known } from "./known.js";
import { language } from "./say.js";
import { put } from "./store.js";

const QUICK_MS = 5000; // a slower contact says too little about when the server looked at its clock, unless that is off by far more
const STEADY_S = 2; // some answers tell whole seconds only

export const offsetSeconds = () => known.offset?.seconds ?? 0;

export const now = () => Date.now() + offsetSeconds() * 1000;

export const moment = () => new Date(now());

// What an answer says of the server's clock, half way between asking and hearing.
export async function learn(serverNow, askedAt, heardAt) {
  const there = Date.parse(serverNow ?? "");
  if (!Number.isFinite(there) || heardAt < askedAt) return;
  const seconds = Math.round((there - (askedAt + heardAt) / 2) / 10) / 100;
  const said = Math.abs(seconds) < STEADY_S ? 0 : seconds;
  const news = Math.abs(offsetSeconds() - said);
  if (heardAt - askedAt > QUICK_MS && news * 1000 <= heardAt - askedAt) return;
  if (known.offset && news < STEADY_S) return;
  known.offset = { seconds: said, at: new Date(there).toISOString() };
  await put("offset", known.offset).catch(() => {});
}

const zone = () => known.snapshot?.nursery?.zone || undefined;

export function day(at = moment()) {
  return at.toLocaleDateString("en-CA", { timeZone: zone() });
}

export function time(at = moment()) {
  return at.toLocaleTimeString(language, { timeZone: zone(), hour: "2-digit", minute: "2-digit" });
}

export function date(at = moment()) {
  return at.toLocaleDateString(language, { timeZone: zone(), day: "numeric", month: "short" });
}

export const asOf = (at) => (day(at) === day() ? time(at) : `${date(at)}, ${time(at)}`);
