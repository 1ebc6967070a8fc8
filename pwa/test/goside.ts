// Asks the Go side in a page, in a worker of its own, past the app's screens.
import type { Page } from "@playwright/test";
import { readdirSync } from "node:fs";
import { fileURLToPath } from "node:url";

export const root = fileURLToPath(new URL("../..", import.meta.url));

const built = (prefix: string, end: string): string => {
  const name = readdirSync(root + "pwa/dist").find((n) => n.startsWith(prefix) && n.endsWith(end));
  if (!name) throw new Error(`pwa/dist has no ${prefix}…${end}: make app`);
  return "/" + name;
};

export interface GoTimes {
  bootMS: number;
}

/** Starts a worker that answers to window.ask(name, question, bytes). */
export function startGoSide(page: Page): Promise<GoTimes> {
  return page.evaluate(
    async ({ worker, module }) => {
      const began = performance.now();
      const w = new Worker(worker);
      const got: ((m: Record<string, unknown>) => void)[] = [];
      w.onmessage = (e: MessageEvent<Record<string, unknown>>) => {
        if ("step" in e.data) return;
        const f = got.shift();
        if (f) f(e.data);
      };
      const once = (m: unknown): Promise<Record<string, unknown>> =>
        new Promise((resolve) => {
          got.push(resolve);
          w.postMessage(m);
        });
      const first = await once({ module: await WebAssembly.compileStreaming(fetch(module)) });
      if (!("ready" in first)) throw new Error(JSON.stringify(first));
      let job = 0;
      (window as unknown as { ask: unknown }).ask = async (
        name: string,
        question: unknown,
        bytes?: ArrayBuffer,
      ) => {
        const a = await once({
          job: ++job,
          name,
          json: JSON.stringify(question),
          ...(bytes && { bytes }),
        });
        if (typeof a["json"] !== "string") throw new Error(JSON.stringify(a));
        return JSON.parse(a["json"]) as unknown;
      };
      return { bootMS: performance.now() - began };
    },
    { worker: built("worker-", ".js"), module: built("bucktail-", ".wasm") },
  );
}

/** Asks it; bytes go in by base64. */
export function ask<T>(
  page: Page,
  name: string,
  question: unknown,
  bytes?: Buffer,
): Promise<{ told: T; ms: number }> {
  return page.evaluate(
    async ({ name, question, b64 }) => {
      const data = b64 === undefined ? undefined : await await fetchless(b64);
      const began = performance.now();
      const told = await (
        window as unknown as { ask: (n: string, q: unknown, b?: ArrayBuffer) => Promise<unknown> }
      ).ask(name, question, data);
      return { told, ms: performance.now() - began };

      async function fetchless(s: string): Promise<ArrayBuffer> {
        return Uint8Array.from(atob(s), (c) => c.charCodeAt(0)).buffer;
      }
    },
    { name, question, b64: bytes?.toString("base64") },
  ) as Promise<{ told: T; ms: number }>;
}
