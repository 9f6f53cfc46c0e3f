// Keeps what was opened of this pack, and answers from it when the network does not.  It touches nothing outside its
// own folder.  VERSION comes from the pack's content, CORE are the pages that are kept without having been opened.
"use strict";
const VERSION = "@VERSION@";
const CORE = @CORE@;
const PATIENCE_MS = 3000;
const FOLDER = registration.scope;
const NAME = `${FOLDER} ${VERSION}`;

// One name for C1/, C1/index.html and, on hosts that leave it out, an address without .html.
const plain = (address) => address.replace(/[?#].*/, "").replace(/\.html$/, "").replace(/\/index$/, "/");
const ours = (address) => address.startsWith(FOLDER);
const old = async () => (await caches.keys()).filter((name) => name.startsWith(`${FOLDER} `) && name !== NAME);

// Pages come with the small copy of each picture that they name, also of those not scrolled to yet.
async function keep(address, answer) {
  if (answer.status !== 200) return;
  const kept = await caches.open(NAME);
  // Made anew where the host led elsewhere: a browser opens no page from an answer that was redirected.
  await kept.put(plain(address), answer.redirected ? new Response(answer.clone().body, answer) : answer.clone());
  if (!/html/.test(answer.headers.get("Content-Type"))) return;
  const named = new Set((await answer.text()).match(/[\w./-]+-768\.webp/g));
  const pictures = [...named].map((path) => new URL(path, address).href);
  await Promise.allSettled(pictures.map(async (picture) => (await kept.match(picture)) || kept.add(picture)));
}
const fetched = async (address) => keep(address, await fetch(address, { cache: "no-cache" }));

// A new version fetches anew whatever was kept of the one before, and what is open now.
async function begin() {
  await Promise.all(CORE.map((path) => fetched(new URL(path, FOLDER).href)));
  const before = new Set();
  for (const name of await old())
    for (const kept of await (await caches.open(name)).matchAll()) before.add(kept.url);
  for (const page of await clients.matchAll({ includeUncontrolled: true })) before.add(page.url);
  await Promise.allSettled([...before].filter(ours).map(fetched));
  await skipWaiting();
}

async function take() {
  for (const name of await old()) await caches.delete(name);
  await clients.claim();
}

async function answer(event) {
  const { url } = event.request;
  const coming = fetch(event.request);
  event.waitUntil(coming.then((found) => keep(url, found.clone())).catch(() => {}));
  const patience = new Promise((resolve) => setTimeout(resolve, PATIENCE_MS));
  const first = await Promise.race([coming, patience]).catch(() => {});
  if (first && first.status < 500) return first;
  const kept = await caches.open(NAME);
  const small = plain(url).replace(/-(1600\.webp|768\.jpg)$/, "-768.webp");
  return (await kept.match(plain(url))) || (await kept.match(small)) || coming;
}

addEventListener("install", (event) => event.waitUntil(begin()));
addEventListener("activate", (event) => event.waitUntil(take()));
addEventListener("fetch", (event) => {
  if (event.request.method === "GET" && ours(event.request.url)) event.respondWith(answer(event));
});
