// Loads the program and hands the page over to it. Nothing is asked of any other
// place than the one this page came from.
"use strict";

const loading = document.getElementById("loading");
const words = document.getElementById("loading-words");
const bar = document.getElementById("loading-bar");

// lodegridFailed shows why there is no window. The program calls it too.
globalThis.lodegridFailed = (why) => {
  document.querySelector("canvas")?.remove();
  loading.hidden = false;
  loading.classList.add("failed");
  words.textContent = "The window could not be opened: " + why;
};

// counted passes a stream on and moves the bar as it arrives.
function counted(stream, all) {
  let got = 0;
  return stream.pipeThrough(new TransformStream({
    transform(chunk, out) {
      got += chunk.byteLength;
      if (all > 0) bar.value = Math.min(got / all, 1);
      out.enqueue(chunk);
    },
  }));
}

async function get(name) {
  const response = await fetch(name);
  if (!response.ok) throw new Error(`${name}: ${response.status} ${response.statusText}`);
  return response;
}

// program is the compressed program unpacked here, whatever the server knows of
// compression; browsers without that get it as it is, and so do all from a server that
// packs it with Brotli by itself, which is smaller.
async function program() {
  const head = await fetch("lodegrid.wasm", { method: "HEAD" }).catch(() => null);
  const packed = typeof DecompressionStream === "function" && head?.headers.get("Content-Encoding") !== "br";
  const response = await get(packed ? "lodegrid.wasm.gz" : "lodegrid.wasm");
  // A server that says the coding itself has it unpacked by the browser.
  const coded = response.headers.get("Content-Encoding");
  let stream = counted(response.body, coded ? 0 : Number(response.headers.get("Content-Length")));
  if (packed && !coded) stream = stream.pipeThrough(new DecompressionStream("gzip"));
  return new Response(stream, { headers: { "Content-Type": "application/wasm" } });
}

// A finger that is lifted before the program has looked at it would be missed: the end
// of a touch waits for two frames from its start.
function holdTouches() {
  let since = 0;
  addEventListener("touchstart", () => {
    since = 0;
    const count = () => { if (++since < 3) requestAnimationFrame(count); };
    requestAnimationFrame(count);
  }, { capture: true, passive: true });
  addEventListener("touchend", (e) => {
    if (!e.isTrusted || since >= 3) return;
    e.stopImmediatePropagation();
    e.preventDefault();
    const again = () => {
      if (since < 3) return requestAnimationFrame(again);
      const list = (from) => [...from].map((t) => new Touch({ identifier: t.identifier, target: t.target, clientX: t.clientX, clientY: t.clientY }));
      e.target.dispatchEvent(new TouchEvent("touchend", {
        bubbles: true, cancelable: true,
        touches: list(e.touches), targetTouches: list(e.targetTouches), changedTouches: list(e.changedTouches),
      }));
    };
    requestAnimationFrame(again);
  }, { capture: true, passive: false });
}

async function start() {
  if (location.protocol === "file:") {
    throw new Error("opened as a file, the page may not load its parts. Give its folder out by a web server, or run: lodegrid web --serve localhost:8080");
  }
  words.textContent = "Loading the program…";
  if (typeof WebAssembly !== "object") throw new Error("this browser has no WebAssembly");
  const go = new Go();
  const texts = Promise.all(["design.toml", "levels.txt", "wanted.txt"].map(async (name) => (await get(name)).text()));
  const loaded = await WebAssembly.instantiateStreaming(program(), go.importObject);
  const [design, scene, wanted] = await texts;
  let store = null; // a browser that keeps nothing throws on the way to it
  try { store = localStorage; } catch { }
  globalThis.lodegridStart = { design, scene, wanted, name: document.body.dataset.scene, store, dark: matchMedia("(prefers-color-scheme: dark)").matches };
  holdTouches();
  words.textContent = "Computing the display…";
  bar.removeAttribute("value");
  // The window is there once the program has made its canvas.
  const watch = new MutationObserver(() => {
    const canvas = document.querySelector("canvas");
    if (!canvas) return;
    watch.disconnect();
    canvas.setAttribute("role", "application");
    canvas.setAttribute("aria-label", "The playing display; H lists the keys");
    canvas.setAttribute("aria-describedby", "lodegrid-meters");
    canvas.tabIndex = 0;
    loading.hidden = true;
  });
  watch.observe(document.body, { childList: true, subtree: true });
  // A moment for the words above to be painted before the program takes the thread.
  await new Promise((done) => setTimeout(done, 50));
  await go.run(loaded.instance);
}

start().catch((err) => globalThis.lodegridFailed(err.message ?? String(err)));
