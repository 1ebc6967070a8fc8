// What waits, as a file: the way out for a phone that can no longer reach the laptop at its old
// address. The file is one line of JSON, then the photos' bytes one after the other.
import type { Bridge } from "../bridge/client";
import { Refused } from "../bridge/client";
import { book, enter } from "../data/book";
import { tellChanged } from "../data/changes";
import { db, setting } from "../data/db";
import { entryRow, entryWaits, photoWaits } from "../data/entries";
import { waiting } from "./push";

const FORMAT = 1;

interface Head {
  bucktail_waiting: number;
  made: string;
  device: string;
  entries: unknown[];
  photos: { hash: string; media: string; bytes: number }[];
}

/** Makes the file of everything that waits. Nothing is taken out of the outbox: only the laptop's word does that. */
export async function saveToFile(
  now: Date = new Date(),
): Promise<{ name: string; file: Blob; entries: number; photos: number }> {
  const d = await db();
  const entries: string[] = [];
  const photos: Head["photos"] = [];
  const blobs: Blob[] = [];
  for (const row of await waiting()) {
    if (row.what === "entry") {
      const e = await d.get("entries", row.hash);
      if (e) entries.push(e.raw);
    } else {
      const p = await d.get("photos", row.hash);
      if (p?.original) {
        photos.push({ hash: p.hash, media: p.media, bytes: p.original.size });
        blobs.push(p.original);
      }
    }
  }
  const identity = await setting("identity");
  const rest = JSON.stringify({
    bucktail_waiting: FORMAT,
    made: now.toISOString(),
    device: identity?.device ?? "",
    photos,
  });
  // The entries' canonical bytes go in as they are.
  const head = `${rest.slice(0, -1)},"entries":[${entries.join(",")}]}\n`;
  const file = new Blob([head, ...blobs], { type: "application/octet-stream" });
  return {
    name: `bucktail-waiting-${now.toISOString().slice(0, 10)}.bucktail`,
    file,
    entries: entries.length,
    photos: photos.length,
  };
}

/** The longest first line that is looked for: entries of a long season away. */
const MOST_HEAD = 64 << 20;

async function readHead(file: Blob): Promise<{ head: Head; at: number }> {
  const bad = (text: string): Refused =>
    new Refused({
      code: "not-a-waiting-file",
      text,
      do: "choose a file that Bucktail saved on a phone, its name ends in .bucktail",
    });
  let upTo = 0;
  for (let step = 1 << 20; ; step *= 2) {
    upTo = Math.min(file.size, step);
    const b = new Uint8Array(await file.slice(0, upTo).arrayBuffer());
    const at = b.indexOf(10);
    if (at < 0) {
      if (upTo === file.size || upTo >= MOST_HEAD)
        throw bad("this is not a file of waiting entries");
      continue;
    }
    let head: Head;
    try {
      head = JSON.parse(
        new TextDecoder("utf-8", { fatal: true }).decode(b.subarray(0, at)),
      ) as Head;
    } catch {
      throw bad("this is not a file of waiting entries");
    }
    if (
      typeof head?.bucktail_waiting !== "number" ||
      !Array.isArray(head.entries) ||
      !Array.isArray(head.photos)
    )
      throw bad("this is not a file of waiting entries");
    if (head.bucktail_waiting > FORMAT) throw bad("the file was written by a newer version");
    return { head, at: at + 1 };
  }
}

export interface Imported {
  entries: number;
  photos: number;
  already: number;
  damaged: number;
}

/**
 * Takes such a file in: entries and photos go onto this device's disk and into its outbox. On the
 * laptop's own browser they are then handed in; elsewhere only this device's own entries can be
 * sent, and others are refused here.
 */
export async function takeInFile(eye: Pick<Bridge, "call">, file: Blob): Promise<Imported> {
  const { head, at } = await readHead(file);
  const identity = await setting("identity");
  const out: Imported = { entries: 0, photos: 0, already: 0, damaged: 0 };
  const read = head.entries.length > 0 ? await book.call("record.read", head.entries) : [];
  const good = read.flatMap((r) => (r.entry ? [r.entry] : []));
  out.damaged += read.length - good.length;
  if (!identity?.owner && good.some((e) => e.device !== identity?.device)) {
    throw new Refused({
      code: "not-here",
      text: "the file holds another device's entries",
      do: "open Bucktail on the laptop itself and take the file in there",
    });
  }
  const now = Date.now();
  let from = at;
  for (const p of head.photos) {
    const blob = file.slice(from, from + p.bytes, p.media);
    from += p.bytes;
    const taken = await eye
      .call("take", {}, { bytes: await blob.arrayBuffer() })
      .catch(() => undefined);
    if (taken?.sha256 !== p.hash) {
      out.damaged++;
      continue;
    }
    const d = await db();
    const tx = d.transaction(["photos", "outbox"], "readwrite", { durability: "strict" });
    const old = await tx.objectStore("photos").get(p.hash);
    if (old?.original || old?.sent) out.already++;
    else out.photos++;
    if (!old?.sent) {
      const row = {
        width: 0,
        height: 0,
        at: now,
        ...old,
        hash: p.hash,
        media: taken.media,
        bytes: p.bytes,
        original: new Blob([blob], { type: taken.media }),
        sent: false,
      };
      await tx.objectStore("photos").put(row);
      await tx.objectStore("outbox").put(photoWaits(row, identity?.device ?? "", now));
    }
    await tx.done;
  }
  const d = await db();
  const tx = d.transaction(["entries", "outbox"], "readwrite", { durability: "strict" });
  for (const e of good) {
    if (await tx.objectStore("entries").getKey(e.hash)) out.already++;
    else out.entries++;
    await tx.objectStore("entries").put(entryRow(e));
    await tx.objectStore("outbox").put(entryWaits(e, now));
  }
  await tx.done;
  await enter(good);
  tellChanged({ record: true });
  return out;
}
