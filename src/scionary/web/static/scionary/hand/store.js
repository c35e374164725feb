// What this phone keeps, in IndexedDB: small facts by name, and the records that wait, were taken, or were refused.
const NAME = "scionary-hand";
const LISTS = ["waiting", "taken", "refused"];
let base = null;
let opened = false;

const answer = (request) =>
  new Promise((yes, no) => {
    request.onsuccess = () => yes(request.result);
    request.onerror = () => no(request.error);
  });

export async function open() {
  const request = indexedDB.open(NAME, 1);
  request.onupgradeneeded = () => {
    request.result.createObjectStore("facts");
    request.result.createObjectStore("waiting", { keyPath: "n", autoIncrement: true });
    request.result.createObjectStore("taken", { keyPath: "id" });
    request.result.createObjectStore("refused", { keyPath: "id" });
  };
  base = await answer(request);
  base.onversionchange = () => base?.close();
  base.onclose = () => (base = null); // a browser may close it while the page sleeps; the next change opens it again
  opened = true;
  navigator.storage?.persist?.().catch(() => {});
}

export const isOpen = () => opened;

async function within(names, mode, work) {
  if (!base) await open();
  const change = base.transaction(names, mode, { durability: "strict" });
  const ended = new Promise((yes, no) => {
    change.oncomplete = yes;
    change.onabort = () => no(change.error ?? new Error("not kept"));
  });
  ended.catch(() => {});
  let result;
  try {
    result = await work((name) => change.objectStore(name));
  } catch (failure) {
    try {
      change.abort();
    } catch {
      // it has ended by itself
    }
    throw failure;
  }
  await ended;
  return result;
}

export const put = (name, value) => within(["facts"], "readwrite", (list) => answer(list("facts").put(value, name)));

export const get = (name) => within(["facts"], "readonly", (list) => answer(list("facts").get(name)));

export const all = () =>
  within(LISTS, "readonly", async (list) => {
    const [waiting, taken, refused] = await Promise.all(LISTS.map((name) => answer(list(name).getAll())));
    return { waiting, taken, refused };
  });

// Add records to the end of the queue. `draw(spent)` makes them inside the one change in which the numbers of codes are
// taken, so that two open pages never give one code twice.
export const add = (draw) =>
  within(["waiting", "facts"], "readwrite", async (list) => {
    const spent = new Set((await answer(list("facts").get("spent"))) ?? []);
    const before = spent.size;
    const entries = draw(spent);
    for (const entry of entries) entry.n = await answer(list("waiting").add(entry));
    if (spent.size !== before) await answer(list("facts").put([...spent], "spent"));
    return entries;
  });

// Remember that these are on their way, before they go: from then on they can only be undone by a correction.
export const mark = (numbers) =>
  within(["waiting"], "readwrite", async (list) => {
    for (const n of numbers) {
      const entry = await answer(list("waiting").get(n));
      if (entry) await answer(list("waiting").put({ ...entry, tried: true }));
    }
  });

// Take what was answered out of the queue, in one change with what is remembered of it.
export const settle = (taken, refused) =>
  within(LISTS, "readwrite", async (list) => {
    for (const [name, entries] of Object.entries({ taken, refused })) {
      for (const entry of entries) {
        await answer(list(name).put(entry));
        if (entry.n !== undefined) await answer(list("waiting").delete(entry.n));
      }
    }
  });

// A full phone can still forget what the book has taken.
export const drop = (numbers) =>
  within(["waiting"], "readwrite", async (list) => {
    for (const n of numbers) await answer(list("waiting").delete(n));
  });

// Take one record out that was never on its way; false when it was.
export const takeBack = (n) =>
  within(["waiting"], "readwrite", async (list) => {
    const entry = await answer(list("waiting").get(n));
    if (!entry || entry.tried) return false;
    await answer(list("waiting").delete(n));
    return true;
  });

// Put fields into one that was never on its way; false when it was.
export const amend = (n, fields) =>
  within(["waiting"], "readwrite", async (list) => {
    const entry = await answer(list("waiting").get(n));
    if (!entry || entry.tried) return false;
    const payload = { ...entry.event.payload, ...fields };
    await answer(list("waiting").put({ ...entry, event: { ...entry.event, payload } }));
    return true;
  });

export const again = (entry) =>
  within(["waiting", "refused"], "readwrite", async (list) => {
    await answer(list("refused").delete(entry.id));
    await answer(list("waiting").add({ event: entry.event, tried: true, group: entry.group ?? null, local: entry.local ?? {} }));
  });

export const forget = (id) => within(["refused"], "readwrite", (list) => answer(list("refused").delete(id)));

export const forgetTaken = (ids) =>
  within(["taken"], "readwrite", async (list) => {
    for (const id of ids) await answer(list("taken").delete(id));
  });
