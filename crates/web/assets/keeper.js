// Keeps the pages that were opened, so that they open again without a connection. Runs only where the browser
// allows it: over HTTPS, or on the computer itself.

/** What a script of this kind is given; the browser's types of it and of pages exclude each other. */
const scope = /** @type {any} */ (self);
const EDITION = /* edition */ "";
/** @type {string[]} */
const FILES = /* files */ [];
const SHELF = `bench-${EDITION}`;

scope.addEventListener("install", (/** @type {any} */ event) => {
  event.waitUntil(caches.open(SHELF).then((shelf) => shelf.addAll(FILES)).then(() => scope.skipWaiting()));
});

scope.addEventListener("activate", (/** @type {any} */ event) => {
  event.waitUntil(
    caches.keys()
      .then((names) => Promise.all(names.filter((name) => name !== SHELF).map((name) => caches.delete(name))))
      .then(() => scope.clients.claim()),
  );
});

/**
 * What is kept of a page: itself, else the same sheet at another step, else the first page.
 * @param {Request} request
 */
async function kept(request) {
  const same = await caches.match(request);
  if (same || request.mode !== "navigate") {
    return same ?? Response.error();
  }
  return (await caches.match(request, { ignoreSearch: true })) ?? (await caches.match("/")) ?? Response.error();
}

scope.addEventListener("fetch", (/** @type {any} */ event) => {
  const request = event.request;
  const url = new URL(request.url);
  const isOurs = request.method === "GET" && url.origin === scope.location.origin;
  if (!isOurs || url.pathname.endsWith("/live") || url.pathname === "/enter") {
    return;
  }
  if (url.pathname.startsWith("/a/")) {
    event.respondWith(caches.match(request).then((kept) => kept ?? fetch(request)));
    return;
  }
  event.respondWith(
    fetch(request)
      .then(async (answer) => {
        if (answer.ok && !answer.redirected) {
          const shelf = await caches.open(SHELF);
          await shelf.put(request, answer.clone());
        }
        return answer;
      })
      .catch(() => kept(request)),
  );
});
