// The service worker: the app's files on the phone, all of one build or none.
//
// The build puts the list of files and its hash here. Installing fetches all of them; if one
// fails, the install fails and the old app stays. Nothing under /api/ ever comes from here, nor
// do the server's own pages.

declare const __FILES__: string[];
declare const __VERSION__: string;

const sw = globalThis as unknown as ServiceWorkerGlobalScope;
const PREFIX = "bucktail-app-";
const CACHE = PREFIX + __VERSION__;
const files = new Set(__FILES__);

/** Pages of the server. */
const others = ["/join", "/laptop", "/api/"];

sw.addEventListener("install", (e) => {
  e.waitUntil(install());
});

async function install(): Promise<void> {
  const cache = await caches.open(CACHE);
  try {
    await Promise.all(
      __FILES__.map(async (path) => {
        const r = await fetch(path, { cache: "no-cache" });
        // A redirected answer must not answer a navigation, and anything but 200 is not the file.
        if (r.status !== 200 || r.redirected) throw new Error(`${path}: ${r.status}`);
        await cache.put(path, r);
      }),
    );
  } catch (err) {
    await caches.delete(CACHE);
    throw err;
  }
}

sw.addEventListener("activate", (e) => {
  e.waitUntil(activate());
});

async function activate(): Promise<void> {
  for (const name of await caches.keys()) {
    if (name.startsWith(PREFIX) && name !== CACHE) await caches.delete(name);
  }
  await sw.clients.claim();
}

sw.addEventListener("message", (e) => {
  if (e.data === "take over") e.waitUntil(sw.skipWaiting());
});

sw.addEventListener("fetch", (e) => {
  const url = new URL(e.request.url);
  if (url.origin !== sw.location.origin || e.request.method !== "GET") return;
  if (others.some((o) => url.pathname === o || url.pathname.startsWith(o))) return;
  const path = e.request.mode === "navigate" ? "/" : url.pathname;
  if (!files.has(path)) return;
  e.respondWith(answer(path, e.request));
});

async function answer(path: string, request: Request): Promise<Response> {
  const kept = await (await caches.open(CACHE)).match(path);
  // The browser may have cleared the cache behind our back; the network is then the only way.
  return kept ?? fetch(request);
}
