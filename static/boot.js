// Starts the page: loader and module side by side, then `run_app`. When that cannot be done, or
// when it stops later, the still board stays and words say why.

// Tells `still-page.js` that the page has got so far.
globalThis.halfrow_boot = true;

const byId = (id) => document.getElementById(id);

/** Shows the explanation below whatever is on the page. */
function halt(title, why, what, error) {
  const section = byId("halt");
  if (!section || !section.hidden) return;
  byId("halt-title").textContent = title;
  byId("halt-why").textContent = why;
  byId("halt-do").textContent = what;
  byId("halt-detail").textContent = String(error);
  section.hidden = false;
  // An open sheet would lie over it and keep it out of reach.
  for (const sheet of document.querySelectorAll("dialog[open]")) sheet.close();
  document.querySelector(".skeleton")?.setAttribute("aria-busy", "false");
  globalThis.halfrow_sound(false);
}

/** Whether a file of the page is what was published: its name holds the first bytes of its SHA-256. */
async function arrives(name, cache) {
  const answer = await fetch(new URL(name, import.meta.url), { cache });
  if (!answer.ok) return false;
  const bytes = await answer.arrayBuffer();
  const subtle = globalThis.crypto?.subtle;
  // Off secure addresses nothing can be hashed; what comes instead of a file is a page as a rule.
  if (!subtle) return !/html/.test(answer.headers.get("content-type") ?? "");
  const digest = await subtle.digest("SHA-256", bytes);
  const hash = Array.from(new Uint8Array(digest, 0, 8), (byte) => byte.toString(16).padStart(2, "0"));
  return name.includes(`-${hash.join("")}.`);
}

/**
 * The files that are not here as they were published. Each is asked for once more past the browser's own
 * cache, which would else give the wrong one for a year.
 */
async function missing() {
  const names = ["{{module}}", "{{wasm}}", "{{examples}}"];
  const there = await Promise.all(names.map((name) => arrives(name, "default").catch(() => false)));
  const wrong = names.filter((_, index) => !there[index]);
  await Promise.all(wrong.map((name) => arrives(name, "reload").catch(() => false)));
  return wrong;
}

async function cannotStart(error) {
  const absent = typeof WebAssembly !== "object" || error instanceof EvalError;
  const wrong = absent ? [] : await missing();
  // A page of words in place of the module doesn't compile either: that is no fault of the browser's.
  const refused = absent || (error instanceof WebAssembly.CompileError && wrong.length === 0);
  halt(
    "Halfrow can’t start here",
    refused
      ? "This browser doesn’t run WebAssembly, which the live board needs. The board you see is only a picture."
      : "Part of the page didn’t arrive or didn’t start. The board you see is only a picture.",
    refused
      ? "A school's rules can switch WebAssembly off; the person who looks after this computer can allow it for this page. Otherwise any browser from the last few years will do."
      : "Check the network, then try again. If it stays like this, a new version may be on its way to the host: wait a few minutes.",
    wrong.length ? `${error} (not as published: ${wrong.join(", ")})` : error,
  );
  if (refused) return;
  byId("halt-again").onclick = async (event) => {
    event.preventDefault();
    await missing();
    location.reload();
  };
}

function stopped(error) {
  halt(
    "Halfrow has stopped",
    "The page itself went wrong. What you see has stopped moving.",
    "Your bench was saved on this device as you worked, if the browser allows that. Try again to carry on with it.",
    error,
  );
}

/**
 * The still board has been painted. Where the module is here at once, it would otherwise be ready
 * before the first picture, and the page would stay blank while it sets itself up. A hidden tab
 * paints nothing, and some browsers tell nothing: a while later it goes on all the same.
 */
const painted = new Promise((done) => {
  if (document.hidden) done();
  setTimeout(done, 800);
  const told = globalThis.PerformanceObserver?.supportedEntryTypes ?? [];
  const type = ["largest-contentful-paint", "paint"].find((it) => told.includes(it));
  if (type) new PerformanceObserver(done).observe({ type, buffered: true });
  else requestAnimationFrame(() => setTimeout(done, 0));
});

// The loudspeaker: silent until the reader turns it on, as browsers and classrooms ask.
let audio = null;
let tone = 0;
function play() {
  if (!audio) return;
  audio.oscillator.frequency.value = Math.min(Math.max(tone, 20), 12000);
  // In a hidden tab the bench stands still.
  const heard = tone > 0 && !document.hidden;
  audio.volume.gain.setTargetAtTime(heard ? 0.06 : 0, audio.context.currentTime, 0.01);
}
document.addEventListener("visibilitychange", play);
globalThis.halfrow_sound = (on) => {
  if (!on) {
    audio?.context.close();
    audio = null;
    return;
  }
  const Context = globalThis.AudioContext;
  if (!Context || audio) return;
  const context = new Context();
  const oscillator = new OscillatorNode(context, { type: "square" });
  const volume = new GainNode(context, { gain: 0 });
  oscillator.connect(volume).connect(context.destination);
  oscillator.start();
  audio = { context, oscillator, volume };
  play();
};
globalThis.halfrow_tone = (hertz) => {
  tone = hertz;
  play();
};

async function start() {
  // Asked for before the loader is there, so that both travel at once. The browser compiles while
  // the bytes come in.
  // Neither may hold up the first picture.
  const module = fetch(new URL("{{wasm}}", import.meta.url), { priority: "low" });
  module.catch(() => {});
  // Without the examples all else works.
  const examples = fetch(new URL("{{examples}}", import.meta.url), { priority: "low" }).then(
    (answer) => (answer.ok ? answer.text() : ""),
    () => "",
  );
  const loader = await import("./{{module}}");
  const response = await module;
  if (!response.ok) throw new Error(`${response.url}: ${response.status} ${response.statusText}`);
  await loader.default({ module_or_path: response });
  await painted;
  loader.run_app(await examples);
}

// A panic in the module is a trap: nothing in it may be called again.
addEventListener("error", (event) => {
  if (typeof WebAssembly === "object" && event.error instanceof WebAssembly.RuntimeError) stopped(event.error);
});
addEventListener("unhandledrejection", (event) => {
  if (typeof WebAssembly === "object" && event.reason instanceof WebAssembly.RuntimeError) stopped(event.reason);
});

/** Whether a worker that waits holds the very files that this page runs. */
function holdsThisPage(worker) {
  const sheet = document.querySelector("link[rel=stylesheet]").href;
  const names = [import.meta.url, sheet, "{{module}}", "{{wasm}}"].map((url) => url.split("/").pop());
  const { port1, port2 } = new MessageChannel();
  worker.postMessage({ holds: names }, [port2]);
  return new Promise((resolve) => {
    port1.onmessage = (event) => resolve(event.data === true);
    // A worker that does not know the question is of another version; a slow machine may take its time.
    setTimeout(resolve, 20000, false);
  });
}

/**
 * Keeps the page for use without a network. When a newer version is already the one on the screen,
 * since the page itself comes from the network first, its worker takes over in silence. Else it
 * waits until the page says so:
 *
 * - `halfrow-update` on `window`: a newer version is ready.
 * - the page fires `halfrow-take-over` on `window` when the work is saved and the user agrees;
 *   the newer version takes over and the page loads again.
 *
 * In a sandboxed frame or where storage is off there is no worker, and that is no error.
 */
async function keepForOffline() {
  try {
    const workers = navigator.serviceWorker;
    if (!workers) return;
    // Where the browser checks what may become a script, this one address is all that passes.
    const only = (name) => {
      if (name !== "sw.js") throw new TypeError(name);
      return name;
    };
    const policy = globalThis.trustedTypes?.createPolicy("halfrow", { createScriptURL: only });
    const script = policy ? policy.createScriptURL("sw.js") : "sw.js";
    const registration = await workers.register(script, { updateViaCache: "none" });
    const tell = async () => {
      const next = registration.waiting;
      if (!next || !workers.controller) return;
      if (await holdsThisPage(next)) next.postMessage("take-over");
      else dispatchEvent(new Event("halfrow-update"));
    };
    tell();
    registration.addEventListener("updatefound", () => {
      const coming = registration.installing;
      coming?.addEventListener("statechange", () => coming.state === "installed" && tell());
    });
    addEventListener("halfrow-take-over", () => {
      const next = registration.waiting;
      if (!next) return;
      workers.addEventListener("controllerchange", () => location.reload(), { once: true });
      next.postMessage("take-over");
    });
  } catch (error) {
    console.info("Halfrow is not kept for use without a network:", String(error));
  }
}

start().then(
  () => {
    // After the first picture: that is when the page is ready, and the copy for later does not
    // compete with it.
    requestAnimationFrame(() =>
      setTimeout(() => {
        performance.mark("halfrow-ready");
        keepForOffline();
      }, 0),
    );
  },
  (error) => {
    if (typeof WebAssembly === "object" && error instanceof WebAssembly.RuntimeError) stopped(error);
    else cannotStart(error);
  },
);
