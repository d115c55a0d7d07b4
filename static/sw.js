// Keeps one whole version of the page on the device.
//
// The page itself comes from the network first, with a time limit, so that a new version is seen
// at once; everything that it needs comes from the store first. A store always holds the page and
// the files of one version together, each checked: while a release is being uploaded, or behind a
// filter, a host may answer with a page of words where a file is missing, and says that all is well.
//
// Filled in by the build: the version (a hash over all files), and the files with the
// first 8 bytes of their SHA-256.

const FILES = {{assets}};
// The script that the page begins with. Hosts may add to a page, so it is known by this name alone.
const BOOT = "{{boot}}";
// The scope stands in the name, because two copies of Halfrow on one host share one storage.
const FAMILY = `halfrow ${registration.scope} `;
const STORE = `${FAMILY}{{version}}`;
// Longer, and a dead school network feels broken; shorter, and a slow one never shows a new version.
const PAGE_TIME_LIMIT_MS = 3000;

const PAGE = new URL("./", registration.scope).href;

// A name that holds the hash of its file: it never changes.
const HASHED = /-([0-9a-f]{16})\.\w+$/;

/** The hash of an answer's content, as names have it. */
async function hash(answer) {
  const digest = await crypto.subtle.digest("SHA-256", await answer.arrayBuffer());
  return Array.from(new Uint8Array(digest, 0, 8), (byte) => byte.toString(16).padStart(2, "0")).join("");
}

addEventListener("install", (event) => {
  event.waitUntil(
    (async () => {
      const answers = await Promise.all(Object.keys(FILES).map(published));
      const store = await caches.open(STORE);
      await Promise.all(answers.map(([url, answer]) => store.put(url, answer)));
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
  if (event.data?.holds) event.ports[0].postMessage(event.data.holds.every((name) => Object.hasOwn(FILES, name)));
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

/** The address of a file and the answer that holds it as it was published. */
async function published(name) {
  const url = new URL(name === "index.html" ? "./" : name, registration.scope);
  const is = async (answer) =>
    name === "index.html" ? (await answer.text()).includes(BOOT) : (await hash(answer)) === FILES[name];
  // Names with a hash may come from the browser's own cache; all others are asked for anew.
  for (const cache of HASHED.test(name) ? ["default", "reload"] : ["reload"]) {
    const answer = await fetch(new Request(url, { cache }));
    if (answer.ok && (await is(answer.clone()))) return [url, answer];
  }
  throw new Error(`${name} is not here as it was published`);
}

async function page(request) {
  const store = await caches.open(STORE);
  const limit = new Promise((resolve) => setTimeout(resolve, PAGE_TIME_LIMIT_MS));
  const network = fetch(request);
  try {
    const answer = await Promise.race([network, limit]);
    // A filter that forbids the page, a host that has lost it: the store has it.
    if (answer?.ok || answer?.type === "opaqueredirect") return answer;
  } catch {
    // No network: the store answers.
  }
  return (await store.match(PAGE)) ?? network;
}

async function asset(request) {
  const store = await caches.open(STORE);
  const kept = await store.match(request, { ignoreVary: true });
  if (kept) return kept;
  const answer = await fetch(request);
  const wanted = HASHED.exec(new URL(request.url).pathname)?.[1];
  if (!wanted || !answer.ok || (await hash(answer.clone())) === wanted) return answer;
  // Asked for past the browser's own cache, which may hold what is wrong for a year.
  const again = await fetch(request.url, { cache: "reload" });
  if (again.ok && (await hash(again.clone())) === wanted) return again;
  return new Response("", { status: 503, statusText: "Not as published" });
}
