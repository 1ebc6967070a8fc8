// Where the app is: the address's path, so that back works as everywhere. No hash routes: iOS asks
// for the camera again on each of them.
import { signal, type ReadonlySignal } from "@preact/signals";

export interface Route {
  /** "/part/018f…/snap" is ["part", "018f…", "snap"]; the start is []. */
  path: string[];
  query: URLSearchParams;
}

const read = (): Route => ({
  path: location.pathname.split("/").filter(Boolean).map(decodeURIComponent),
  query: new URLSearchParams(location.search),
});

const current = signal<Route>({ path: [], query: new URLSearchParams() });
export const route: ReadonlySignal<Route> = current;

let depth = 0;
/** A screen with work that would be lost asks here; false keeps the app where it is. */
let mayLeave: () => boolean = () => true;
export function guardLeaving(f: (() => boolean) | undefined): void {
  mayLeave = f ?? (() => true);
}

/** Goes to a path; "/part/…". */
export function go(to: string, o: { replace?: boolean } = {}): void {
  if (!mayLeave()) return;
  if (o.replace) history.replaceState({ depth }, "", to);
  else history.pushState({ depth: ++depth }, "", to);
  current.value = read();
}

/** Goes back, or to the given place where the app was opened here. */
export function back(otherwise = "/"): void {
  if (!mayLeave()) return;
  if (depth > 0) history.back();
  else go(otherwise, { replace: true });
}

/**
 * Goes on in place of this page and the one before it: back leads to where both came from. Resolves
 * when the app is there: a step that is taken before that would be undone.
 */
export function goInstead(to: string): Promise<void> {
  if (depth === 0) {
    go(to, { replace: true });
    return Promise.resolve();
  }
  return new Promise((there) => {
    const on = (): void => {
      go(to, { replace: true });
      there();
    };
    addEventListener("popstate", on, { once: true });
    history.back();
  });
}

/** A path from its parts, escaped. */
export const path = (...parts: string[]): string => "/" + parts.map(encodeURIComponent).join("/");

/** Pages of the server, not of the app. */
const others = ["/join", "/laptop", "/api/"];

export function startRouter(): void {
  depth = (history.state as { depth?: number } | null)?.depth ?? 0;
  current.value = read();
  addEventListener("popstate", (e) => {
    depth = (e.state as { depth?: number } | null)?.depth ?? 0;
    current.value = read();
  });
  document.addEventListener("click", (e) => {
    if (e.defaultPrevented || e.button !== 0 || e.metaKey || e.ctrlKey || e.shiftKey || e.altKey)
      return;
    const a = (e.target as Element | null)?.closest?.("a[href]");
    if (!(a instanceof HTMLAnchorElement) || a.target || a.hasAttribute("download")) return;
    const to = new URL(a.href);
    if (to.origin !== location.origin || others.some((o) => to.pathname.startsWith(o))) return;
    e.preventDefault();
    go(to.pathname + to.search);
  });
}
