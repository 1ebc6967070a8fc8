// Room on the phone, and whether the browser may throw things away.
import { tellChanged } from "./changes";
import { db } from "./db";

export interface Room {
  /** Bytes; 0 where the browser does not say. */
  used: number;
  quota: number;
  /** The browser promised not to clear this without asking; undefined where it can't say. */
  persisted: boolean | undefined;
  /** About how many more photos of the usual size fit. */
  photosLeft: number;
  /** Little is left: send, or drop sent originals. */
  low: boolean;
  /** Sent originals that may be dropped. */
  droppable: { photos: number; bytes: number };
}

/** A photo of a phone of today, bytes, until this phone's own are known. */
const USUAL_PHOTO = 4e6;
/** So few photos left is little: an evening's work (common practice: some dozens). */
const FEW = 40;

export async function room(): Promise<Room> {
  const e = await navigator.storage?.estimate?.().catch(() => undefined);
  const persisted = await navigator.storage?.persisted?.().catch(() => undefined);
  const rows = await (await db()).getAll("photos");
  let bytes = 0,
    kept = 0;
  const droppable = { photos: 0, bytes: 0 };
  for (const r of rows) {
    if (!r.original) continue;
    bytes += r.bytes;
    kept++;
    if (r.sent && r.preview) {
      droppable.photos++;
      droppable.bytes += r.bytes;
    }
  }
  const used = e?.usage ?? 0,
    quota = e?.quota ?? 0;
  const one = kept > 3 ? bytes / kept : USUAL_PHOTO;
  const photosLeft = quota > 0 ? Math.max(0, Math.floor((quota - used) / one)) : Infinity;
  return { used, quota, persisted, photosLeft, low: photosLeft < FEW, droppable };
}

/** Whether something failed because the browser gives this app no more room. */
export const isFull = (e: unknown): boolean =>
  e instanceof DOMException &&
  (e.name === "QuotaExceededError" ||
    (e.name !== "AbortError" && /quota|disk space/i.test(e.message)));

/** Asks the browser to keep what is here; from the page and best after the first photo. */
export async function askToPersist(): Promise<boolean | undefined> {
  return navigator.storage?.persist?.().catch(() => undefined);
}

/** Drops originals that the laptop has confirmed; previews stay. Gives how many were dropped. */
export async function dropSentOriginals(): Promise<number> {
  const d = await db();
  const tx = d.transaction(["photos", "outbox", "drafts"], "readwrite");
  let n = 0;
  for (let c = await tx.objectStore("photos").openCursor(); c; c = await c.continue()) {
    const { original, ...rest } = c.value;
    if (!original || !rest.sent || !rest.preview) continue;
    if (await tx.objectStore("outbox").getKey("photo:" + rest.hash)) continue;
    if (await tx.objectStore("drafts").index("photo").getKey(rest.hash)) continue;
    await c.update(rest);
    n++;
  }
  await tx.done;
  tellChanged({ record: false });
  return n;
}
