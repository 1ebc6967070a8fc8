// The laptop's interface, as server/api/openapi.yaml describes it: the parts that the app uses.
import { signal } from "@preact/signals";
import type { Fault, Role } from "../bridge/types";

/** A problem detail (RFC 9457) with what to do. */
export interface Problem {
  type: string;
  title: string;
  status: number;
  code: string;
  detail?: string;
  do?: string;
  request?: string;
}

export interface Device {
  id: string;
  name: string;
  role: Role;
  owner: boolean;
  joined_at: string;
  seen_at?: string;
  revoked_at?: string;
  this?: boolean;
  /** With which it signs its entries. */
  key?: string;
  fingerprint?: string;
}
export interface Me {
  device: Device;
  record: string;
}
export interface Chain {
  device: string;
  seq: number;
  hash: string;
  count: number;
}
export interface PushResult {
  status: "new" | "known" | "pending" | "refused";
  id?: string;
  hash?: string;
  faults?: Fault[];
  /** Why it was refused. */
  refusal?: { code: string; text: string; do?: string };
}
/** Entries, and the cursor behind them. A cursor of another copy of the record begins at the start. */
export interface Page {
  entries: unknown[];
  cursor: string;
  more: boolean;
  again?: boolean;
}

/** The laptop answered, and the answer is no. */
export class Refusal extends Error {
  constructor(
    readonly problem: Problem,
    readonly retryAfterS = 0,
  ) {
    super(problem.title);
  }
}

/** The laptop did not answer. */
export class OutOfReach extends Error {}

/** Long enough for a photo of 40 MB over a poor network; a dead connection is noticed by its silence earlier. */
const PHOTO_MS = 10 * 60_000;
const SHORT_MS = 30_000;

/** How far this device's clock is before the laptop's, ms, as of the last answer; 0: not known. */
export const clockAhead = signal(0);

function heard(r: Response): void {
  const at = Date.parse(r.headers.get("Date") ?? "");
  if (!Number.isNaN(at)) clockAhead.value = Date.now() - at;
}

async function ask(path: string, init: RequestInit & { ms?: number } = {}): Promise<Response> {
  const { ms = SHORT_MS, signal, ...rest } = init;
  const limit = new AbortController();
  const timer = setTimeout(() => limit.abort(), ms);
  const stop = (): void => limit.abort();
  signal?.addEventListener("abort", stop, { once: true });
  let r: Response;
  try {
    signal?.throwIfAborted();
    r = await fetch(path, {
      cache: "no-store",
      credentials: "same-origin",
      ...rest,
      signal: limit.signal,
    });
  } catch (e) {
    signal?.throwIfAborted();
    throw new OutOfReach(e instanceof Error ? e.message : String(e));
  } finally {
    clearTimeout(timer);
    signal?.removeEventListener("abort", stop);
  }
  heard(r);
  if (r.ok) return r;
  const type = r.headers.get("Content-Type") ?? "";
  if (!type.startsWith("application/problem+json")) {
    // Not our laptop: a router's page, a proxy, another program on that port.
    throw new OutOfReach(`something else answered with ${r.status}`);
  }
  const problem = (await r.json()) as Problem;
  throw new Refusal(problem, Number(r.headers.get("Retry-After")) || 0);
}

async function json<T>(r: Response): Promise<T> {
  if (!(r.headers.get("Content-Type") ?? "").startsWith("application/json"))
    throw new OutOfReach("something else answered");
  try {
    return (await r.json()) as T;
  } catch {
    throw new OutOfReach("the answer broke off");
  }
}

const post = (body: unknown, signal?: AbortSignal): RequestInit => ({
  method: "POST",
  headers: { "Content-Type": "application/json" },
  body: JSON.stringify(body),
  ...(signal && { signal }),
});

export const api = {
  me: async (signal?: AbortSignal): Promise<Me> =>
    json(await ask("/api/me", signal ? { signal } : {})),
  chain: async (device: string): Promise<Chain> => json(await ask(`/api/chains/${device}`)),
  pull: async (after: string, signal?: AbortSignal): Promise<Page> =>
    json(
      await ask(
        `/api/entries?limit=500${after ? `&after=${encodeURIComponent(after)}` : ""}`,
        signal ? { signal } : {},
      ),
    ),
  /** The entries' canonical bytes go as they are. */
  push: async (
    raws: string[],
    handedIn: boolean,
    signal?: AbortSignal,
  ): Promise<{ results: PushResult[] }> =>
    json(
      await ask(`/api/entries${handedIn ? "?handed-in=yes" : ""}`, {
        method: "POST",
        headers: { "Content-Type": "application/json" },
        body: `{"entries":[${raws.join(",")}]}`,
        ms: 120_000,
        ...(signal && { signal }),
      }),
    ),
  wanted: async (hashes: string[], signal?: AbortSignal): Promise<string[]> =>
    (
      await json<{ missing: string[] }>(
        await ask("/api/photos/wanted", post({ photos: hashes }, signal)),
      )
    ).missing,
  putPhoto: async (
    hash: string,
    media: string,
    body: Blob,
    signal?: AbortSignal,
  ): Promise<void> => {
    const r = await json<{ photo: string; bytes: number }>(
      await ask(`/api/photos/${hash}`, {
        method: "PUT",
        headers: { "Content-Type": media },
        body,
        ms: PHOTO_MS,
        ...(signal && { signal }),
      }),
    );
    if (r.photo !== hash || r.bytes !== body.size)
      throw new OutOfReach("the laptop kept something else");
  },
  tellKey: async (key: string): Promise<Me> =>
    json(await ask("/api/me/key", { ...post({ key }), method: "PUT" })),
  redeem: async (code: string, name: string): Promise<Me> =>
    json(await ask("/api/pairings/redeem", post({ code, name }))),
};
