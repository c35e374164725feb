// What this phone knows just now: the last word from the book, and what was written here since.
import * as store from "./store.js";

export const known = {
  snapshot: null, // the book's own words, as of `server_now`
  device: null, // { device, token, name }
  offset: null,
  bench: null, // id of the bench day that is worked at
  waiting: [],
  taken: [],
  refused: [],
  unsaved: [], // written while the phone could keep nothing more; gone when the page is closed
  trouble: "", // "signed-out", "unknown", "away", or ""
  storage: "", // words on why nothing can be kept, or ""
};

const FACTS = ["snapshot", "device", "offset", "bench", "stamp"];

export async function load() {
  for (const name of FACTS) known[name] = (await store.get(name)) ?? null;
  await refresh();
}

export async function refresh() {
  if (store.isOpen()) Object.assign(known, await store.all());
}

export async function keep(name, value) {
  known[name] = value;
  await store.put(name, value);
}

// Every record made on this phone that still stands, first written first; undone ones and corrections are left out.
export function own() {
  const records = [...known.taken, ...known.waiting, ...known.unsaved];
  const undone = new Set(
    records.filter(({ event }) => event.kind === "corrected" && !event.payload.replace).map(({ event }) => event.payload.target),
  );
  const changed = new Map(
    records.filter(({ event }) => event.payload.replace).map(({ event }) => [event.payload.target, event.payload.replace]),
  );
  return records
    .filter(({ event }) => event.kind !== "corrected" && !undone.has(event.id))
    .map((entry) =>
      changed.has(entry.event.id)
        ? { ...entry, event: { ...entry.event, payload: { ...entry.event.payload, ...changed.get(entry.event.id) } } }
        : entry,
    )
    .sort((one, other) => (one.event.id < other.event.id ? -1 : 1));
}

export const ofKind = (kind) => own().filter(({ event }) => event.kind === kind);

export const about = (key) => own().filter(({ event }) => event.subjects.includes(key));

export const unsent = () => known.waiting.length + known.unsaved.length;

const named = (list, id) => (known.snapshot?.[list] ?? []).find((each) => each.id === id);

export const cultivar = (id) => named("cultivars", id);
export const tree = (id) => named("trees", id);
export const dome = (id) => named("domes", id);

// What was cut here and stands: not what was undone in the book.
export const cuts = () => ofKind("scions_cut").filter(({ local }) => !known.snapshot?.bags_undone?.includes(local.bag));

// Bags of the book and those cut here, which the book may not know yet.
export function bags() {
  const here = cuts().map(({ event, local }) => ({
    id: local.bag,
    name: local.name,
    cultivar: local.cultivar,
    tree: local.tree,
    sticks: event.payload.sticks,
  }));
  const there = known.snapshot?.bags ?? [];
  return [...here.filter(({ id }) => !there.some((bag) => bag.id === id)), ...there];
}

// Grafts made here from a bag, which rest on its cutting.
export const graftedFrom = (bag) => ofKind("grafted").filter(({ event }) => event.payload.bag === bag);

// Bench days of the book and those set here; what was set here last holds.
export function benches() {
  const found = new Map((known.snapshot?.benches ?? []).map((bench) => [bench.id, bench]));
  for (const { event } of ofKind("bench_set")) {
    const { bench, ...setting } = event.payload;
    found.set(bench, { made: [], planned: null, ...found.get(bench), ...setting, id: bench });
  }
  return [...found.values()];
}

// What was made at a bench day, first made first: the book's list with what it has not heard of yet.
export function madeAt(bench) {
  const here = ofKind("grafted").filter(({ event }) => event.payload.bench === bench.id);
  const mine = new Map(here.map((entry) => [entry.local.plant, entry]));
  const gone = undonePlants();
  const there = (bench.made ?? []).filter(({ plant }) => !mine.has(plant) && !gone.has(plant));
  return [
    ...there,
    ...here.map(({ event, local }) => ({ plant: local.plant, said: local.said, code: local.code, event: event.id, at: event.happened_at })),
  ];
}

// Records of this kind that were undone here, by an undo that fits.
export function undone(kind, fits = () => true) {
  const records = [...known.taken, ...known.waiting, ...known.unsaved];
  const undos = records.filter((entry) => entry.event.kind === "corrected" && !entry.event.payload.replace && fits(entry));
  const targets = new Set(undos.map(({ event }) => event.payload.target));
  return records.filter(({ event }) => event.kind === kind && targets.has(event.id));
}

// Plants whose grafts were undone here, which the book may still list.
export const undonePlants = () => new Set(undone("grafted").map(({ local }) => local.plant));

export function nextNumber(cultivarId) {
  const mine = ofKind("grafted")
    .filter(({ event }) => event.payload.cultivar === cultivarId)
    .map(({ event }) => event.payload.running_number + 1);
  return Math.max(cultivar(cultivarId)?.next_number ?? 1, ...mine);
}
