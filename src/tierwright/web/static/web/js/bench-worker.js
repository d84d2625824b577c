// Keeps the sheets of the bench, and the files they need, at hand without a network. Nothing else is kept: every other
// page goes straight to the network.
"use strict";
const STORE = "bench-1";
const SHEET = /^\/k\/\d+\/(c\/\d+\/bench\/(?!state\/|entries\/)([a-z0-9-]+\/)?|shopping\/\d+\/)$/;
const FILE = /^\/static\/web\//;
const PATIENCE_MS = 4000;

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => {
  const old = (names) => names.filter((name) => name !== STORE).map((name) => caches.delete(name));
  event.waitUntil(caches.keys().then((names) => Promise.all(old(names))).then(() => self.clients.claim()));
});

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (url.origin !== location.origin) return;
  if (event.request.method === "POST" && url.pathname === "/sign-out/") {
    // Whoever comes next at this tablet may belong to another kitchen.
    event.waitUntil(caches.delete(STORE));
    return;
  }
  if (event.request.method !== "GET") return;
  if (SHEET.test(url.pathname)) event.respondWith(fresh(event.request, url));
  else if (FILE.test(url.pathname)) event.respondWith(held(event.request));
});

async function fresh(request, url) {
  const store = await caches.open(STORE);
  const stop = new AbortController();
  const known = await store.match(url.pathname);
  // Without a copy there is nothing to fall back on: then the network may take its time.
  const timer = known ? setTimeout(() => stop.abort(), PATIENCE_MS) : 0;
  try {
    const answer = await fetch(request.url, { signal: stop.signal, credentials: "same-origin", redirect: "manual" });
    clearTimeout(timer);
    if (answer.ok) await store.put(url.pathname, answer.clone());
    else if (answer.status === 403 || answer.status === 404) await store.delete(url.pathname);
    // A redirect is for the browser to follow: it leads to sign-in.
    return answer;
  } catch (error) {
    clearTimeout(timer);
    if (known) return known;
    throw error;
  }
}

async function held(request) {
  const store = await caches.open(STORE);
  const known = await store.match(request.url);
  if (known) return known;
  const answer = await fetch(request);
  if (answer.ok) {
    const path = new URL(request.url).pathname;
    // An older edition of the same file is of no more use.
    for (const old of await store.keys()) if (new URL(old.url).pathname === path) await store.delete(old);
    await store.put(request.url, answer.clone());
  }
  return answer;
}
