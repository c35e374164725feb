// The queue goes to the book in order; whatever is not answered for stays. The book's own words come back.
import * as clock from "./clock.js";
import { keep, known, refresh, unsent } from "./known.js";
import { changed, tell } from "./page.js";
import { say, several } from "./say.js";
import * as store from "./store.js";

const BATCH = 100;
const EVERY_MS = 30_000;
const DATA_EVERY_MS = 300_000;
const PATIENCE_MS = 20_000;
const LOW_ON_CODES = 100;
const TAKEN_KEPT_MS = 3 * 86_400_000;
const DATA_AFTER_SENDING_MS = 60_000;
const LEFT = new Set(["recorded", "repeated", "kept_aside", "waiting"]);

let notBefore = 0;
let dataAt = 0;
let batch = BATCH;
let askedAgain = false;
let dataWanted = false;
let flagged = 0;

export function begin() {
  window.addEventListener("online", () => contact(true));
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && contact());
  setInterval(contact, EVERY_MS);
  return contact(true);
}

// One contact at a time over all open pages: send what waits, then ask for the book's words when they are old.
export async function contact(atOnce = false) {
  if (!store.isOpen() || (Date.now() < notBefore && atOnce !== true)) return;
  askedAgain = true;
  const work = async () => {
    while (askedAgain) {
      askedAgain = false;
      await exchange(atOnce === true);
    }
  };
  if (navigator.locks) await navigator.locks.request("scionary-hand", { ifAvailable: true }, (held) => held && work());
  else await work();
}

async function exchange(atOnce) {
  try {
    await refresh();
    if (navigator.onLine === false) throw new Error("no network at all"); // a browser that says so is right; one that does not may be wrong
    const sent = unsent();
    if (known.device) while (unsent() && (await sendSome()));
    if (sent) dataWanted = true;
    if (atOnce || Date.now() - dataAt > (dataWanted ? DATA_AFTER_SENDING_MS : DATA_EVERY_MS)) await ask();
    if (sent && !unsent()) tell(allSent());
  } catch (failure) {
    known.trouble = failure.trouble ?? "away";
  }
  changed(true);
}

function allSent() {
  const count = flagged;
  flagged = 0;
  if (!count) return say("All is sent.");
  return several(count, "All is sent; {count} record is flagged. See Waiting.", "All is sent; {count} records are flagged. See Waiting.");
}

async function sendSome() {
  const entries = [...known.waiting, ...known.unsaved].slice(0, batch);
  await store.mark(entries.map(({ n }) => n).filter((n) => n !== undefined)).catch((failure) => {
    if (!known.unsaved.length) throw failure;
  });
  const answer = await reach("/hand/events/", { events: entries.map(({ event }) => event) });
  if (answer.status === 413 || answer.status === 400) return smaller(entries, answer);
  if (answer.status === 401) throw Object.assign(failed(answer), { trouble: "unknown" });
  if (!answer.ok) throw failed(answer);
  const told = answer.body;
  if (!Array.isArray(told?.answers)) throw failed(answer);
  await takeAnswers(entries, told.answers, told.server_now);
  batch = BATCH;
  known.trouble = "";
  return true;
}

// A parcel that cannot be read is sent in ever smaller ones, until only what is wrong with it is set aside.
async function smaller(entries, answer) {
  if (entries.length > 1) {
    batch = Math.ceil(entries.length / 2);
    return true;
  }
  const words = answer.body?.words || say("The book could not read this record.");
  await takeAnswers(entries, [{ id: entries[0].event.id, status: "refused", words }]);
  batch = BATCH;
  return true;
}

async function takeAnswers(entries, answers, serverNow) {
  const told = new Map(answers.map((answer) => [answer.id, answer]));
  const taken = [];
  const refused = [];
  for (const entry of entries) {
    const answer = told.get(entry.event.id);
    const record = {
      ...entry,
      id: entry.event.id,
      words: answer?.words ?? "",
      flags: answer?.flags ?? [],
      answered_at: serverNow ?? new Date().toISOString(),
    };
    if (LEFT.has(answer?.status)) taken.push({ ...record, status: answer.status });
    else if (answer?.status === "refused") refused.push(record);
  }
  if (!taken.length && !refused.length) throw Object.assign(new Error("no answer to any record"), { trouble: "away" });
  await settled(taken, refused);
  flagged += taken.filter(({ flags }) => flags.length).length;
  if (refused.length) tell(say("{count} could not be taken by the book. See Waiting.", { count: refused.length }));
  await refresh();
}

// On a full phone what was taken is let go without being remembered; what was refused waits until it can be kept.
async function settled(taken, refused) {
  let gone = [...taken, ...refused];
  try {
    await store.settle(taken, refused);
  } catch {
    await store.drop(taken.map(({ n }) => n).filter((n) => n !== undefined));
    gone = taken;
  }
  const ids = new Set(gone.map(({ id }) => id));
  known.unsaved = known.unsaved.filter(({ event }) => !ids.has(event.id));
  if (!known.unsaved.length) known.storage = "";
  if (gone.length < taken.length + refused.length) throw Object.assign(new Error("not kept"), { trouble: "" });
}

// The book's words: what stands where, what is called what, codes for labels.
async function ask() {
  const answer = await reach("/hand/data/", null, known.snapshot && known.stamp ? { "If-None-Match": known.stamp } : {});
  if (answer.status !== 304) {
    if (answer.status === 401 && known.device) throw Object.assign(failed(answer), { trouble: "unknown" });
    if (!answer.ok || answer.body?.version !== 1) throw failed(answer);
    await keep("snapshot", answer.body);
    await keep("stamp", answer.headers.get("ETag"));
  } else {
    await keep("snapshot", { ...known.snapshot, server_now: clock.moment().toISOString() });
  }
  dataAt = Date.now();
  dataWanted = false;
  known.trouble = "";
  await forgetOld();
  if (known.device && codesLeft() < LOW_ON_CODES) await lease();
}

export const codesLeft = () => {
  const spent = new Set([...known.taken, ...known.waiting, ...known.unsaved].map(({ event }) => event.payload.code_number));
  return (known.snapshot?.codes ?? []).filter(({ number }) => !spent.has(number)).length;
};

async function lease() {
  const answer = await reach("/hand/lease/", {});
  if (!answer.ok || !answer.body?.codes) return;
  const there = known.snapshot.codes ?? [];
  const fresh = answer.body.codes.filter(({ number }) => !there.some((code) => code.number === number));
  await keep("snapshot", { ...known.snapshot, codes: [...there, ...fresh] });
}

async function forgetOld() {
  const limit = Date.now() - TAKEN_KEPT_MS;
  const old = known.taken.filter(({ answered_at }) => Date.parse(answered_at) < limit);
  if (old.length) await store.forgetTaken(old.map(({ id }) => id));
  await refresh();
}

// This phone's name and token, given once by the book to somebody whom it knows.
export async function join(name) {
  if (!/(?:^|; )csrftoken=/.test(document.cookie)) await reach("/hand/data/").catch(() => {}); // a tap may be quicker than the first contact
  if (!pagesToken()) await reach("/hand/data/").catch(() => {}); // the first answer of the book brings the token that its pages show
  const answer = await reach("/hand/device/", { name }).catch((failure) => failure);
  if (answer.status === 200 || answer.status === 201) {
    await keep("device", answer.body);
    await standIn();
    await contact(true);
    return "";
  }
  if (answer.status === 401 || answer.type === "opaqueredirect") return "signed-out";
  return answer.body?.words || say("The book did not answer. Try again where there is a signal.");
}

// Tells the worker that this phone is in use: from then on it does not wait long for a page of the book.
export const standIn = async () => {
  if (window.isSecureContext) await caches.open("hand-in-use").catch(() => {});
};

const pagesToken = () => document.cookie.match(/(?:^|; )csrftoken=([^;]+)/)?.[1];

// The answer to one question; no answer in time, or none at all, is an error.
export async function reach(address, body = null, more = {}) {
  const headers = { Accept: "application/json", "X-Requested-With": "hand", ...more };
  if (known.device) headers.Authorization = `Bearer ${known.device.token}`;
  if (body !== null) headers["Content-Type"] = "application/json";
  const token = pagesToken();
  if (body !== null && token) headers["X-CSRFToken"] = token;
  const askedAt = Date.now();
  const signal = AbortSignal.timeout(PATIENCE_MS);
  const got = await fetch(address, {
    method: body === null ? "GET" : "POST",
    headers,
    body: body === null ? undefined : JSON.stringify(body),
    cache: "no-store",
    redirect: "manual",
    signal,
  });
  const heardAt = Date.now();
  const text = got.status === 304 || got.type === "opaqueredirect" ? "" : await got.text();
  const answer = { status: got.status, ok: got.ok, type: got.type, headers: got.headers, body: parsed(text), askedAt, heardAt };
  await clock.learn(answer.body?.server_now ?? got.headers.get("Date"), askedAt, heardAt);
  return answer;
}

function parsed(text) {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

const signedOut = ({ status, type }) => status === 401 || status === 403 || type === "opaqueredirect";

function failed(answer) {
  const wait = Number(answer.headers?.get?.("Retry-After"));
  if (wait > 0) notBefore = Date.now() + Math.min(wait, 600) * 1000;
  return Object.assign(new Error(`answer ${answer.status}`), { trouble: signedOut(answer) ? "signed-out" : "away" });
}
