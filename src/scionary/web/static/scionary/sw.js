// The server writes self.KEPT above: its version, the page, and the files that belong to it.
const { version, page, files } = self.KEPT;
const NAME = `hand-${version}`;
const HELD = new Set([page, ...files]);
const PATIENCE_MS = 4000;
// Only pages that the phone can stand in for are not waited for; anything else may take its time.
const STANDS_IN = /^\/(due\/|bench\/([0-9a-f-]{36}\/)?|domes\/([0-9a-f-]{36}\/(round\/)?)?)?$/;

self.addEventListener("install", (event) => event.waitUntil(fill().then(() => self.skipWaiting())));
self.addEventListener("activate", (event) => event.waitUntil(forgetOld().then(() => self.clients.claim())));

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const address = new URL(request.url);
  if (request.method !== "GET" || address.origin !== self.location.origin) return;
  if (request.mode === "navigate") {
    event.respondWith(address.pathname === page ? held(page, request) : fromTheBook(request, address));
  } else if (HELD.has(address.pathname + address.search)) {
    event.respondWith(held(address.pathname + address.search, request));
  }
});

async function fill() {
  const cache = await caches.open(NAME);
  await cache.addAll([...HELD].map((address) => new Request(address, { cache: "reload", credentials: "omit" })));
}

async function forgetOld() {
  const names = await caches.keys();
  await Promise.all(names.filter((name) => /^hand-[0-9a-f]+$/.test(name) && name !== NAME).map((name) => caches.delete(name)));
}

async function held(address, request) {
  const cache = await caches.open(NAME);
  return (await cache.match(address)) ?? fetch(request);
}

async function fromTheBook(request, address) {
  const answer = fetch(request);
  try {
    if (!STANDS_IN.test(address.pathname) || !(await caches.has("hand-in-use"))) return await answer;
    return await Promise.race([answer, patience()]);
  } catch (failure) {
    answer.catch(() => {});
    const cache = await caches.open(NAME);
    const stand = await cache.match(page);
    if (stand) return stand;
    throw failure;
  }
}

function patience() {
  return new Promise((_, tooLong) => setTimeout(() => tooLong(new Error("no answer in time")), PATIENCE_MS));
}
