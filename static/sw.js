// Keeps one whole version of the page on the device.
//
// The page itself comes from the network first, with a time limit, so that a new version is seen
// at once; everything that it needs comes from the store first. A store always holds the page and
// the files of one version together: an answer from the network never goes into it.
//
// Filled in by the build: the version (a hash over all files) and the list of files.

const FILES = {{assets}};
// The scope stands in the name, because two copies of Halfrow on one host share one storage.
const FAMILY = `halfrow ${registration.scope} `;
const STORE = `${FAMILY}{{version}}`;
// Longer, and a dead school network feels broken; shorter, and a slow one never shows a new version.
const PAGE_TIME_LIMIT_MS = 3000;

const PAGE = new URL("./", registration.scope).href;

addEventListener("install", (event) => {
  event.waitUntil(
    (async () => {
      const store = await caches.open(STORE);
      const names = FILES.map((name) => (name === "index.html" ? "./" : name));
      // Names with a hash may come from the browser's own cache; all others are asked for anew.
      const fresh = (name) => (/-[0-9a-f]{16}\.\w+$/.test(name) ? "default" : "reload");
      await store.addAll(names.map((name) => new Request(new URL(name, registration.scope), { cache: fresh(name) })));
    })(),
  );
});

addEventListener("activate", (event) => {
  event.waitUntil(
    (async () => {
      for (const name of await caches.keys()) {
        if (name.startsWith(FAMILY) && name !== STORE) await caches.delete(name);
      }
      await clients.claim();
    })(),
  );
});

addEventListener("message", (event) => {
  if (event.data === "take-over") event.waitUntil(skipWaiting());
  if (event.data?.holds) event.ports[0].postMessage(event.data.holds.every((name) => FILES.includes(name)));
});

addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || !url.href.startsWith(registration.scope)) return;
  const bare = url.origin + url.pathname;
  if (bare === PAGE || bare === `${PAGE}index.html`) {
    if (request.mode === "navigate") event.respondWith(page(request));
    return;
  }
  event.respondWith(asset(request));
});

async function page(request) {
  const store = await caches.open(STORE);
  const limit = new Promise((resolve) => setTimeout(resolve, PAGE_TIME_LIMIT_MS));
  const network = fetch(request);
  try {
    const answer = await Promise.race([network, limit]);
    if (answer && answer.status < 500) return answer;
  } catch {
    // No network: the store answers.
  }
  return (await store.match(PAGE)) ?? network;
}

async function asset(request) {
  const store = await caches.open(STORE);
  return (await store.match(request, { ignoreVary: true })) ?? fetch(request);
}
