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

// counted passes a response on and moves the bar as it arrives. The length that the
// server names is that of the compressed bytes, so it may come to more than all.
function counted(response) {
  const all = Number(response.headers.get("X-Program-Bytes")) || Number(response.headers.get("Content-Length"));
  let got = 0;
  const count = new TransformStream({
    transform(chunk, out) {
      got += chunk.byteLength;
      if (all > 0) bar.value = Math.min(got / all, 1);
      out.enqueue(chunk);
    },
  });
  return new Response(response.body.pipeThrough(count), { headers: { "Content-Type": "application/wasm" } });
}

async function start() {
  if (typeof WebAssembly !== "object") throw new Error("this browser has no WebAssembly");
  const response = await fetch("lodegrid.wasm");
  if (!response.ok) throw new Error(`lodegrid.wasm: ${response.status} ${response.statusText}`);
  const go = new Go();
  const program = await WebAssembly.instantiateStreaming(counted(response), go.importObject);
  words.textContent = "Computing the demo…";
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
  await go.run(program.instance);
}

start().catch((err) => globalThis.lodegridFailed(err.message ?? String(err)));
