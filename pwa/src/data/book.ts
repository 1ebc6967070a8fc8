// The record in Go: all entries that are on the phone's disk, added up in a worker of its own, so
// that a photo that breaks the measuring breaks nothing here.
import { Bridge } from "../bridge/client";
import type { Ask, CallName, Told } from "../bridge/types";
import { db, type EntryRow } from "./db";

const BATCH = 500;
let loaded = new Set<string>();

type Call = <K extends CallName>(name: K, ask: Ask<K>) => Promise<Told<K>>;

/** Entries whose bytes no longer fit their hash: the disk has changed them. Kept, not used. */
export let damaged: string[] = [];

async function load(call: Call, rows: { raw: string; hash: string }[]): Promise<void> {
  const told = await call(
    "record.load",
    rows.map((r) => ({ raw: r.raw, hash: r.hash })),
  );
  damaged = damaged.concat(told.damaged);
  for (const r of rows) loaded.add(r.hash);
}

/** Reads all entries from the disk, piece by piece. */
export async function readDisk(take: (rows: EntryRow[]) => Promise<unknown>): Promise<void> {
  const d = await db();
  for (let after: string | undefined; ;) {
    const rows = await d.getAll(
      "entries",
      after === undefined ? undefined : IDBKeyRange.lowerBound(after, true),
      BATCH,
    );
    if (rows.length > 0) await take(rows);
    if (rows.length < BATCH) return;
    after = rows.at(-1)?.hash;
  }
}

/** Hands over what the book does not have. */
const fill = (call: Call): Promise<void> =>
  readDisk(async (rows) => {
    const missing = rows.filter((r) => !loaded.has(r.hash));
    if (missing.length > 0) await load(call, missing);
  });

/** What asks the Go side; tests put one without a worker in its place. */
export interface Asks {
  call: Call;
}

let asks: Asks = new Bridge({
  prepare: async (call) => {
    loaded = new Set();
    damaged = [];
    await fill(call);
  },
});

export function setBook(b: Asks): void {
  asks = b;
  loaded = new Set();
  damaged = [];
}

/** Asks the record. */
export const book: Asks = { call: (name, ask) => asks.call(name, ask) };

/** Whether the book has an entry of the disk: another tab may have written it. */
export const knows = (hash: string): boolean => loaded.has(hash);

/** Takes in entries that were just put on the disk. */
export async function enter(rows: { raw: string; hash: string }[]): Promise<void> {
  if (rows.length > 0) await load(book.call, rows);
}

/** Takes in what another tab has put on the disk. */
export async function catchUp(): Promise<void> {
  await fill(book.call);
}
