// When to send and pull, and how it stands.
import { signal, type ReadonlySignal } from "@preact/signals";
import { diskChanged } from "../data/changes";
import { db, isSample, setting } from "../data/db";
import { api, OutOfReach, Refusal, type Problem } from "./api";
import { fetchAhead } from "./ahead";
import { adopt, hasJoined } from "./join";
import { pullAll } from "./pull";
import { pushAll, type Progress } from "./push";

export type SyncState =
  | { is: "sample" } // nothing is sent from the sample
  | { is: "unpaired" } // the laptop answered, and does not know this device
  | { is: "idle" }
  | { is: "working"; progress?: Progress }
  | { is: "out-of-reach" }
  | { is: "refused"; problem: Problem }
  | { is: "failed"; message: string };

export interface Unsent {
  entries: number;
  photos: number;
  bytes: number;
  refused: number;
  oldestAt: number | undefined;
}

const state = signal<SyncState>({ is: "idle" });
const unsentNow = signal<Unsent>({
  entries: 0,
  photos: 0,
  bytes: 0,
  refused: 0,
  oldestAt: undefined,
});
const last = signal<number | undefined>(undefined);
const next = signal<number | undefined>(undefined);

/** How it stands. */
export const syncState: ReadonlySignal<SyncState> = state;
/** What waits on this phone. */
export const unsent: ReadonlySignal<Unsent> = unsentNow;
/** When everything was last sent and pulled, ms since 1970. */
export const lastSync: ReadonlySignal<number | undefined> = last;
/** When it is tried next by itself. */
export const nextTry: ReadonlySignal<number | undefined> = next;

/** Waits between tries: from 2 s, doubled, to 5 min; between pulls with nothing to send, a minute. */
const FIRST_MS = 2_000;
const MOST_MS = 5 * 60_000;
const CALM_MS = 60_000;

let failures = 0;
let timer: ReturnType<typeof setTimeout> | undefined;
let running: Promise<void> | undefined;
let again = false;

/** The wait after so many failures in a row, with a fifth of chance so that phones don't come together. */
export function backOffMS(failures: number, random: number = Math.random()): number {
  return Math.min(MOST_MS, FIRST_MS * 2 ** Math.min(failures - 1, 20)) * (0.9 + 0.2 * random);
}

export async function countUnsent(): Promise<void> {
  const u: Unsent = { entries: 0, photos: 0, bytes: 0, refused: 0, oldestAt: undefined };
  for (const r of await (await db()).getAll("outbox")) {
    if (r.what === "entry") u.entries++;
    else u.photos++;
    u.bytes += r.bytes;
    if (r.refused) u.refused++;
    u.oldestAt = Math.min(u.oldestAt ?? r.at, r.at);
  }
  unsentNow.value = u;
}

async function once(retryRefused: boolean): Promise<void> {
  const me = await api.me();
  await adopt(me);
  state.value = { is: "working" };
  await pushAll({
    again: retryRefused,
    progress: (progress) => {
      state.value = { is: "working", progress };
    },
  });
  await pullAll();
}

function schedule(ms: number): void {
  clearTimeout(timer);
  next.value = Date.now() + ms;
  timer = setTimeout(() => void sync(), ms);
}

/**
 * Sends and pulls now. Calls while one runs join it; one more round follows. Never rejects: how it
 * went is in syncState.
 *
 * @param o.byHand the builder asked: what the laptop refused before is tried again, and the wait
 *   between tries starts over.
 */
export function sync(o: { byHand?: boolean } = {}): Promise<void> {
  if (running) {
    again = true;
    return running;
  }
  if (isSample()) {
    state.value = { is: "sample" };
    return Promise.resolve();
  }
  if (o.byHand) failures = 0;
  clearTimeout(timer);
  running = exclusive(() => round(o.byHand ?? false)).finally(() => {
    running = undefined;
    if (again) {
      again = false;
      schedule(0);
    }
  });
  return running;
}

/** One tab at a time where the browser can say so; two would only do the work twice. */
async function exclusive(f: () => Promise<void>): Promise<void> {
  if (!navigator.locks) return f();
  await navigator.locks.request("bucktail-sync", { ifAvailable: true }, async (lock) => {
    if (lock) await f();
    else schedule(CALM_MS);
  });
}

async function round(byHand: boolean): Promise<void> {
  try {
    await once(byHand);
    failures = 0;
    last.value = Date.now();
    state.value = { is: "idle" };
    schedule(CALM_MS);
    void fetchAhead();
  } catch (e) {
    failures++;
    if (e instanceof Refusal && e.problem.status === 401) {
      state.value = { is: "unpaired" };
      schedule(MOST_MS);
    } else if (e instanceof Refusal && e.problem.status !== 429 && e.problem.status < 500) {
      state.value = { is: "refused", problem: e.problem };
      schedule(MOST_MS);
    } else if (e instanceof OutOfReach || e instanceof Refusal) {
      state.value = { is: "out-of-reach" };
      schedule(Math.max(backOffMS(failures), e instanceof Refusal ? e.retryAfterS * 1000 : 0));
    } else {
      state.value = { is: "failed", message: e instanceof Error ? e.message : String(e) };
      schedule(backOffMS(failures));
    }
  } finally {
    await countUnsent().catch(() => undefined);
  }
}

/** Starts: now, whenever the network or the page comes back, and soon after anything was put into the outbox. */
export function startSync(): void {
  const wake = async (): Promise<void> => {
    if (document.visibilityState !== "visible") return;
    if (!isSample() && !hasJoined() && !(await setting("identity").catch(() => undefined))) {
      state.value = { is: "unpaired" };
      return;
    }
    failures = 0;
    await sync();
  };
  addEventListener("online", () => void wake());
  document.addEventListener("visibilitychange", () => void wake());
  let count = -1;
  diskChanged.subscribe(() => {
    void countUnsent().then(() => {
      const n = unsentNow.value.entries + unsentNow.value.photos;
      if (n > count && count >= 0)
        void setting("identity").then((i) => {
          if (i?.ready && failures === 0) void sync();
        });
      count = n;
    });
  });
  void wake();
}
