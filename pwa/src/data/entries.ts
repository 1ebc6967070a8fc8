// Writing into the record. Entries are made in Go, kept here, and sent later by src/sync.
import { Refused } from "../bridge/client";
import type { Calls as CallsOf, Draft, EntryOut } from "../bridge/types";
import { book, catchUp, enter, knows } from "./book";
import { tellChanged, whenOtherTabWrites } from "./changes";
import { sign } from "./sign";
import { db, isSample, setting, type EntryRow, type OutboxRow, type PhotoRow } from "./db";

whenOtherTabWrites(catchUp);

/** A photo that goes onto the disk together with what is said of it. */
export interface NewPhoto {
  hash: string;
  media: string;
  blob: Blob;
  width: number;
  height: number;
  /** SHA-256 of its copy without location data. */
  copy?: string | undefined;
  preview?: Blob;
}

export interface SaveOptions {
  /** Photos that are not on the disk yet. */
  photos?: NewPhoto[];
  /** The draft that this finishes. */
  draft?: string;
  /** What the screens remember from then on, given the entries. */
  preferences?: (made: EntryOut[]) => Record<string, unknown>;
  /** For tests. */
  now?: number;
}

export const entryRow = (e: EntryOut): EntryRow => ({
  hash: e.hash,
  id: e.id,
  raw: e.raw,
  device: e.device,
  seq: e.seq,
  kind: e.kind,
  part: e.part,
});

export const entryWaits = (e: EntryOut, at: number): OutboxRow => ({
  key: "entry:" + e.hash,
  what: "entry",
  hash: e.hash,
  id: e.id,
  kind: e.kind,
  device: e.device,
  at,
  bytes: e.raw.length,
});

export const photoWaits = (
  p: { hash: string; bytes: number },
  device: string,
  at: number,
): OutboxRow => ({
  key: "photo:" + p.hash,
  what: "photo",
  hash: p.hash,
  id: "",
  device,
  at,
  bytes: p.bytes,
});

/**
 * Writes entries, with their photos, and puts them into the outbox: all of it in one transaction,
 * or nothing. When the promise resolves, it is on the disk.
 *
 * Rejects with Refused when the Go side does not accept an entry or this device may not write yet.
 */
export async function save(drafts: Draft[], o: SaveOptions = {}): Promise<EntryOut[]> {
  drafts = await withCopies(drafts, o.photos ?? []);
  for (let attempt = 0; ; attempt++) {
    const identity = await setting("identity");
    if (!identity?.ready) {
      throw new Refused({
        code: "not-joined",
        text: "this device has not joined a record yet",
        do: "pair it with the laptop, or try the sample part",
      });
    }
    const head = await setting("head");
    const before =
      head?.device === identity.device ? head : { device: identity.device, seq: 0, hash: "" };
    const now = o.now ?? Date.now();
    const entries = await made(drafts, {
      device: identity.device,
      by: (await setting("by")) ?? identity.name,
      role: identity.role,
      seq: before.seq,
      prev: before.hash,
      clock_ms: now,
    });
    // What another tab has written must be known first: new ids stand after it. A chain's end that
    // moved meanwhile is found by the writing itself.
    if ((before.seq === 0 || knows(before.hash)) && (await write(entries, before, now, o)))
      return entries;
    if (attempt === 4)
      throw new Error("the record changes all the time; close other tabs of Bucktail");
    await catchUp();
  }
}

/** Adds to what names photos which copies of them may leave the house: a bundle holds these alone. */
async function withCopies(drafts: Draft[], fresh: NewPhoto[]): Promise<Draft[]> {
  const naming = ["shot", "layout", "note", "gauge", "study", "decision", "sign-off"];
  const d = await db();
  return Promise.all(
    drafts.map(async (draft) => {
      if (!naming.includes(draft.kind)) return draft;
      const copies: Record<string, string> = {};
      for (const [, hash] of JSON.stringify(draft.data).matchAll(/"([0-9a-f]{64})"/g)) {
        const copy =
          fresh.find((p) => p.hash === hash)?.copy ?? (await d.get("photos", hash!))?.copy;
        if (copy) copies[hash!] = copy;
      }
      return Object.keys(copies).length > 0
        ? Object.assign({}, draft, { data: { ...draft.data, copies } })
        : draft;
    }),
  );
}

type Writer = Omit<CallsOf["record.make"][0], "drafts">;

/** Makes entries, each signed before the next: its hash, which the next one names, has the signature in it. */
async function made(drafts: Draft[], writer: Writer): Promise<EntryOut[]> {
  const key = await setting("key");
  if (!key || key.told !== writer.device) return book.call("record.make", { ...writer, drafts });
  const out: EntryOut[] = [];
  for (const draft of drafts) {
    const last = out.at(-1);
    const [e] = await book.call("record.make", {
      ...writer,
      ...(last && { seq: last.seq, prev: last.hash }),
      ids: out.map((x) => x.id),
      drafts: [draft],
    });
    out.push(await book.call("record.signed", { raw: e!.raw, sig: await sign(key, e!.raw) }));
  }
  return out;
}

async function write(
  entries: EntryOut[],
  before: { device: string; seq: number; hash: string },
  now: number,
  o: SaveOptions,
): Promise<boolean> {
  const d = await db();
  const tx = d.transaction(["photos", "entries", "outbox", "drafts", "settings"], "readwrite", {
    durability: "strict",
  });
  // A rejected request also rejects tx.done, which is awaited below or on the way out.
  const done = tx.done.then(
    () => true,
    (e: unknown) => Promise.reject(e),
  );
  done.catch(() => undefined);
  const settings = tx.objectStore("settings");
  const head = (await settings.get("head")) as typeof before | undefined;
  const identity = (await settings.get("identity")) as { device: string } | undefined;
  const same = (head?.device === before.device ? head.hash : "") === before.hash;
  if (!same || identity?.device !== before.device) {
    tx.abort();
    await done.catch(() => undefined);
    return false;
  }
  const waits = !isSample();
  const outbox = tx.objectStore("outbox");
  const photos = tx.objectStore("photos");
  for (const p of o.photos ?? []) {
    if (!(await photos.get(p.hash))?.original) await photos.put(photoRow(p, now));
  }
  for (const e of entries) {
    await tx.objectStore("entries").put(entryRow(e));
    if (!waits) continue;
    await outbox.put(entryWaits(e, now));
    for (const hash of e.photos) {
      const row = await photos.get(hash);
      if (row?.original && !row.sent) await outbox.put(photoWaits(row, before.device, now));
    }
  }
  const last = entries.at(-1);
  if (last) await settings.put({ device: last.device, seq: last.seq, hash: last.hash }, "head");
  if (o.draft) await tx.objectStore("drafts").delete(o.draft);
  if (o.preferences)
    await settings.put(
      { ...((await settings.get("preferences")) as object | undefined), ...o.preferences(entries) },
      "preferences",
    );
  await done;
  await enter(entries);
  tellChanged({ record: true });
  return true;
}

export function photoRow(p: NewPhoto, now: number): PhotoRow {
  return {
    hash: p.hash,
    media: p.media,
    bytes: p.blob.size,
    width: p.width,
    height: p.height,
    original: p.blob,
    at: now,
    sent: false,
    ...(p.copy && { copy: p.copy }),
    ...(p.preview && { preview: p.preview }),
  };
}
