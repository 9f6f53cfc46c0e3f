// Asks the browser to keep this pack for when there is no signal.  Pages need nothing of it: from disk, over plain
// http, or where the browser will not, nothing happens and nothing is said.  It waits until the page is there and the
// phone has nothing else to do, but no longer than 2 s.
"use strict";
if (location.protocol.startsWith("http") && navigator.serviceWorker) {
  const worker = new URL("worker.js", document.currentScript.src);
  const ask = () => navigator.serviceWorker.register(worker, { updateViaCache: "none" }).catch(() => {});
  const idle = window.requestIdleCallback || ((then) => setTimeout(then, 200));
  addEventListener("load", () => idle(ask, { timeout: 2000 }));
}
