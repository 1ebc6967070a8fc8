// The page's side of the service worker: ready for offline, a new version offered and never forced.
import { computed, signal, type ReadonlySignal } from "@preact/signals";

export type Offline =
  | "unsupported" // no secure context: it works only while the laptop is in reach
  | "preparing"
  | "ready" // everything but the sync works without the laptop
  | "failed";

const offlineNow = signal<Offline>("preparing");
const waitingNow = signal<ServiceWorker | undefined>(undefined);

export const offline: ReadonlySignal<Offline> = offlineNow;
// Another tab, or the browser by itself, has put a new version in charge of this old page.
const replacedNow = signal(false);
/** A new version lies ready; loadNew takes it. */
export const newVersion: ReadonlySignal<boolean> = computed(
  () => waitingNow.value !== undefined || replacedNow.value,
);

/** How often a running app asks for a new version, ms. */
const ASK_MS = 30 * 60_000;

export function startUpdates(): void {
  const sw = navigator.serviceWorker;
  if (!sw) {
    offlineNow.value = "unsupported";
    return;
  }
  let asked = false,
    before = sw.controller;
  sw.addEventListener("controllerchange", () => {
    if (asked) location.reload();
    else if (before) replacedNow.value = true; // not at the first install: the page is of that version
    before = sw.controller;
  });
  loadNewImpl = async () => {
    asked = true;
    const waiting = (await sw.getRegistration())?.waiting;
    if (waiting) waiting.postMessage("take over");
    else location.reload(); // it is in charge already
  };
  sw.register("/sw.js", { updateViaCache: "none" }).then(
    (r) => {
      const watch = (w: ServiceWorker | null): void => {
        if (!w) return;
        const look = (): void => {
          if (w.state === "installed" && sw.controller) waitingNow.value = w;
          if (w.state === "activated") offlineNow.value = "ready";
          if (w.state === "redundant" && !r.active) offlineNow.value = "failed";
        };
        w.addEventListener("statechange", look);
        look();
      };
      watch(r.active);
      watch(r.waiting);
      watch(r.installing);
      r.addEventListener("updatefound", () => watch(r.installing));
      setInterval(() => void r.update().catch(() => undefined), ASK_MS);
    },
    () => {
      offlineNow.value = sw.controller ? "ready" : "failed";
    },
  );
}

let loadNewImpl: () => Promise<void> = () => Promise.resolve();
/** Takes the new version and loads the page again. Call only when no work is in hand. */
export function loadNew(): void {
  void loadNewImpl();
}
