// Asks the browser to keep this pack for when there is no signal.  Pages need nothing of it: from disk, over plain
// http, or where the browser will not, nothing happens and nothing is said.
"use strict";
if (location.protocol.startsWith("http") && navigator.serviceWorker) {
  const worker = new URL("worker.js", document.currentScript.src);
  navigator.serviceWorker.register(worker, { updateViaCache: "none" }).catch(() => {});
}
