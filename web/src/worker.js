// SPDX-License-Identifier: Apache-2.0
// Keeps the page's own four files, so that it can be loaded again without a network. Nothing else is
// kept or touched: no answer of the program, no recording. The network comes first, always.
const kCache = "quietnorth-page";
const kFiles = ["/", "/app.js", "/app.css", "/icon.svg"];
const kPatience_ms = 4000;

/** Another page may stand at the same address, as the one that asks for a pairing code. */
async function isThePage(response) {
  return response.ok && (await response.clone().text()).includes("/app.js");
}

/** Read to its end: with three answers open a browser begins no fourth, and all would wait for ever. */
async function whole(file) {
  const response = await fetch(file, { cache: "no-store" });
  return new Response(await response.arrayBuffer(), response);
}

async function fill() {
  const cache = await caches.open(kCache);
  const fresh = await Promise.all(kFiles.map(whole));
  if (!fresh.every((response) => response.ok) || !(await isThePage(fresh[0]))) throw new Error("not the page");
  await Promise.all(kFiles.map((file, i) => cache.put(file, fresh[i])));
}

async function fromNetworkFirst(request, path) {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), kPatience_ms);
  try {
    return await fetch(request, { signal: stop.signal });
  } catch (failed) {
    const kept = await caches.open(kCache).then((cache) => cache.match(path));
    if (kept) return kept;
    throw failed;
  } finally {
    clearTimeout(timer);
  }
}

self.addEventListener("install", (event) => event.waitUntil(fill().then(() => self.skipWaiting())));
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
// All four together, so that those of one version stay together.
self.addEventListener("message", (event) => { if (event.data === "fill") event.waitUntil(fill().catch(() => {})); });
self.addEventListener("fetch", (event) => {
  const { pathname, origin } = new URL(event.request.url);
  if (event.request.method !== "GET" || origin !== self.location.origin || !kFiles.includes(pathname)) return;
  event.respondWith(fromNetworkFirst(event.request, pathname));
});
