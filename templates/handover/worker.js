/* Answers for the board when the server can't be reached: with one plain page, and nothing else. No drawing, no name
   and no page of the practice is ever kept here. */
const FILES = {{ files|safe }};
const CACHE = "board-{{ version }}";

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(CACHE).then((cache) => cache.addAll(FILES)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  const old = (names) => Promise.all(names.filter((name) => name !== CACHE).map((name) => caches.delete(name)));
  event.waitUntil(caches.keys().then(old).then(() => self.clients.claim()));
});

self.addEventListener("fetch", (event) => {
  if (event.request.mode === "navigate") {
    event.respondWith(fetch(event.request).catch(() => caches.match(FILES[0])));
  } else if (FILES.includes(new URL(event.request.url).pathname)) {
    event.respondWith(fetch(event.request).catch(() => caches.match(event.request)));
  }
});
