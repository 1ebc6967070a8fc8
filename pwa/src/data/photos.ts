// Photos and drafts on the phone's disk.
import type { Bridge } from "../bridge/client";
import type { Taken } from "../bridge/types";
import { tellChanged } from "./changes";
import { Refused } from "../bridge/client";
import { db, type DraftRow, type PhotoRow } from "./db";
import { photoRow } from "./entries";
import { uuid7 } from "./ids";

/** The longer side of a preview, px: sharp on a phone's screen, and a part of a hundred of the original. */
const PREVIEW_SIDE = 1280;
/** The largest of the sizes that the laptop makes previews in, px. */
const LAPTOP_SIDE = 1600;

/**
 * Takes a photo in: recognises it by its content, names it, and puts it onto the disk with a draft.
 * When the promise resolves the photo is safe, whatever happens while it is measured.
 *
 * Rejects with Refused when it is no JPEG or PNG (HEIC and others are told what to change).
 */
export async function takeIn(
  eye: Pick<Bridge, "call">,
  file: Blob,
  about: Partial<Pick<DraftRow, "project" | "part" | "location" | "hand">> = {},
): Promise<{ draft: DraftRow; taken: Taken }> {
  return takeFor(eye, file, (photo) => ({ id: uuid7(), photo, at: Date.now(), ...about }));
}

/** Takes in one more photo of a draft's place, to be measured together with those it has. */
export async function takeMore(
  eye: Pick<Bridge, "call">,
  file: Blob,
  of: DraftRow,
): Promise<{ draft: DraftRow; taken: Taken }> {
  return takeFor(eye, file, (photo) => {
    const { joined: _, ...row } = of;
    const has = photosOf(row);
    if (has.includes(photo))
      throw new Refused({
        code: "same-photo",
        text: `this is the same file as photo ${has.indexOf(photo) + 1}`,
        do: "take another photo, from another side",
      });
    return { ...row, more: [...(row.more ?? []), photo] };
  });
}

async function takeFor(
  eye: Pick<Bridge, "call">,
  file: Blob,
  draftOf: (photo: string) => DraftRow,
): Promise<{ draft: DraftRow; taken: Taken }> {
  const taken = await eye.call("take", {}, { bytes: await file.arrayBuffer() });
  const blob =
    file.type === taken.media && !(file instanceof File)
      ? file
      : new Blob([file], { type: taken.media });
  const draft = draftOf(taken.sha256);
  const d = await db();
  const tx = d.transaction(["photos", "drafts"], "readwrite", { durability: "strict" });
  const photos = tx.objectStore("photos");
  const old = await photos.get(taken.sha256);
  if (!old?.original) {
    await photos.put({
      ...photoRow(
        {
          hash: taken.sha256,
          media: taken.media,
          blob,
          width: 0,
          height: 0,
          copy: taken.copy,
        },
        Date.now(),
      ),
      ...(old && { preview: old.preview, sent: old.sent }),
    } as PhotoRow);
  }
  await tx.objectStore("drafts").put(draft);
  await tx.done;
  tellChanged({ record: false });
  return { draft, taken };
}

/** All photos of a draft, the first first. */
export const photosOf = (d: DraftRow): string[] => [d.photo, ...(d.more ?? [])];

/** Keeps what is known of a draft by now, so that the work goes on after a crash. */
export async function keepDraft(draft: DraftRow): Promise<void> {
  await (await db()).put("drafts", draft);
}

/** Photos that were taken and not yet saved, oldest first. */
export async function drafts(): Promise<DraftRow[]> {
  return (await (await db()).getAll("drafts")).sort((a, b) => a.at - b.at);
}

/** Throws a draft away on the builder's word, and its photo if nothing else names it. */
export async function discardDraft(id: string): Promise<void> {
  const d = await db();
  const tx = d.transaction(["photos", "drafts", "outbox", "entries"], "readwrite");
  const row = await tx.objectStore("drafts").get(id);
  if (row) {
    await tx.objectStore("drafts").delete(id);
    const others = (await tx.objectStore("drafts").getAll()).flatMap(photosOf);
    for (const hash of photosOf(row))
      if (!others.includes(hash) && !(await named(tx.objectStore("entries"), hash)))
        await tx.objectStore("photos").delete(hash);
  }
  await tx.done;
  tellChanged({ record: false });
}

/** Keeps the photo of a page that decisions will name; it is sent with the first of them. */
export async function keepPage(eye: Pick<Bridge, "call">, file: Blob): Promise<string> {
  const taken = await eye.call("take", {}, { bytes: await file.arrayBuffer() });
  const d = await db();
  const tx = d.transaction("photos", "readwrite", { durability: "strict" });
  if (!(await tx.store.get(taken.sha256))?.original) {
    await tx.store.put(
      photoRow(
        {
          hash: taken.sha256,
          media: taken.media,
          blob: new Blob([file], { type: taken.media }),
          width: taken.width,
          height: taken.height,
          copy: taken.copy,
        },
        Date.now(),
      ),
    );
  }
  await tx.done;
  tellChanged({ record: false });
  return taken.sha256;
}

/** Throws a photo away that nothing names. */
export async function dropUnnamed(hash: string): Promise<void> {
  const d = await db();
  const tx = d.transaction(["photos", "drafts", "entries"], "readwrite");
  const drafts = (await tx.objectStore("drafts").getAll()).flatMap(photosOf);
  if (!drafts.includes(hash) && !(await named(tx.objectStore("entries"), hash)))
    await tx.objectStore("photos").delete(hash);
  await tx.done;
}

async function named(
  entries: {
    openCursor(): Promise<{ value: { raw: string }; continue(): Promise<unknown> } | null>;
  },
  hash: string,
): Promise<boolean> {
  for (let c = await entries.openCursor(); c; c = (await c.continue()) as typeof c) {
    if (c.value.raw.includes(hash)) return true;
  }
  return false;
}

export async function photo(hash: string): Promise<PhotoRow | undefined> {
  return (await db()).get("photos", hash);
}

/** Keeps a photo's preview and upright size. */
export async function keepPreview(
  hash: string,
  o: { preview?: Blob; width?: number; height?: number },
): Promise<void> {
  const d = await db();
  const tx = d.transaction("photos", "readwrite");
  const row = await tx.store.get(hash);
  if (row) await tx.store.put({ ...row, ...o });
  await tx.done;
}

/** A small picture for people, by the browser's own decoder: nothing is measured in it. */
export async function makePreview(blob: Blob): Promise<Blob> {
  const full = await createImageBitmap(blob, { imageOrientation: "from-image" });
  try {
    const k = Math.min(1, PREVIEW_SIDE / Math.max(full.width, full.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.max(1, Math.round(full.width * k));
    canvas.height = Math.max(1, Math.round(full.height * k));
    const c = canvas.getContext("2d");
    if (!c) throw new Error("this browser gives no canvas");
    c.imageSmoothingQuality = "high";
    c.drawImage(full, 0, 0, canvas.width, canvas.height);
    return await new Promise((resolve, reject) =>
      canvas.toBlob(
        (b) => (b ? resolve(b) : reject(new Error("the preview could not be packed"))),
        "image/jpeg",
        0.82,
      ),
    );
  } finally {
    full.close();
  }
}

/**
 * A picture to show: the original or preview from the disk, else the preview from the laptop, which
 * is then kept. Undefined where neither is to be had now. Whoever makes an object URL of it must
 * revoke it.
 */
export async function picture(
  hash: string,
  want: "original" | "preview",
): Promise<Blob | undefined> {
  const row = await photo(hash);
  if (want === "original" && row?.original) return row.original;
  if (row?.preview) return row.preview;
  if (row?.original) {
    const preview = await makePreview(row.original).catch(() => undefined);
    if (preview) await keepPreview(hash, { preview });
    return preview ?? row.original;
  }
  return fetchPreview(hash).catch(() => undefined); // the laptop is out of reach
}

const fetching = new Map<string, Promise<Blob | undefined>>();

/** One fetch of a thing at a time: who asks meanwhile gets the same. */
export function fetchOnce(
  key: string,
  f: () => Promise<Blob | undefined>,
): Promise<Blob | undefined> {
  let p = fetching.get(key);
  if (!p) {
    p = f().finally(() => fetching.delete(key));
    fetching.set(key, p);
  }
  return p;
}

/** Fetches a preview and keeps it; undefined where the laptop has none. Rejects where it is out of reach. */
export const fetchPreview = (hash: string): Promise<Blob | undefined> =>
  fetchOnce(hash, async () => {
    const r = await fetch(`/api/photos/${hash}/preview?side=${LAPTOP_SIDE}`, { cache: "no-store" });
    if (!r.ok) return undefined;
    const preview = await r.blob();
    const d = await db();
    const tx = d.transaction("photos", "readwrite");
    if (!(await tx.store.get(hash))) {
      await tx.store.put({
        hash,
        media: "image/jpeg",
        bytes: 0,
        width: 0,
        height: 0,
        preview,
        at: Date.now(),
        sent: true,
      });
    }
    await tx.done;
    return preview;
  });
