// Files that the laptop makes: it has all photos, and is quicker.
import { uuid7 } from "../data/ids";
import type { MakeAsk } from "../data/papers";
import { Refusal, type Problem } from "./api";

/** So long the laptop may take to say that it is there. */
const PROBE_MS = 2_000;
const ASK_MS = 700;

/** Whether the laptop is in reach now and knows this device. */
export async function inReach(): Promise<boolean> {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), PROBE_MS);
  try {
    const r = await fetch("/api/me", { cache: "no-store", signal: stop.signal });
    return r.ok && (r.headers.get("Content-Type") ?? "").startsWith("application/json");
  } catch {
    return false;
  } finally {
    clearTimeout(timer);
  }
}

/** Has the laptop make a file. Rejects with Refusal where it says no, with another error where it is out of reach. */
export async function makeThere(
  ask: MakeAsk,
  o: { signal: AbortSignal; progress: (fraction: number) => void },
): Promise<Blob> {
  const call = uuid7();
  const q = new URLSearchParams({
    call,
    ...(ask.project && { project: ask.project }),
    ...(ask.paper && { paper: ask.paper }),
    ...(ask.units && { units: ask.units }),
  });
  for (const p of ask.parts ?? []) q.append("part", p);
  const watch = setInterval(() => {
    void fetch(`/api/exporting/${call}`, { cache: "no-store", signal: o.signal }).then(
      async (r) => {
        if (!r.ok) return;
        const at = (await r.json()) as { done: number; of: number };
        if (at.of > 0) o.progress(at.done / at.of);
      },
      () => undefined,
    );
  }, ASK_MS);
  try {
    const r = await fetch(`/api/exports/${ask.kind}?${q}`, { cache: "no-store", signal: o.signal });
    if (r.headers.get("Content-Type")?.startsWith("application/problem+json"))
      throw new Refusal((await r.json()) as Problem);
    if (!r.ok || !r.headers.get("Content-Disposition"))
      throw new Error(`something else answered with ${r.status}`);
    return await r.blob();
  } finally {
    clearInterval(watch);
  }
}
