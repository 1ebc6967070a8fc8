// From a photo to a measured document, with the photo safe on the disk first.
import { Refused, type Bridge, type CallOptions } from "../bridge/client";
import type { Document, MeasureOptions, MeasureStep } from "../bridge/types";
import type { DraftRow } from "../data/db";
import {
  keepDraft,
  keepPreview,
  makePreview,
  photo,
  photosOf,
  takeIn,
  takeMore,
} from "../data/photos";

/** Takes a photo in; see takeIn. The preview is made on the side: it never holds up or fails the photo. */
export async function snap(
  eye: Pick<Bridge, "call">,
  file: Blob,
  about: Partial<Pick<DraftRow, "project" | "part" | "location" | "hand">> = {},
): Promise<DraftRow> {
  const { draft } = await takeIn(eye, file, about);
  void makePreview(file)
    .then((preview) => keepPreview(draft.photo, { preview }))
    .catch(() => undefined);
  return draft;
}

/** Takes in one more photo of a draft's place. */
export async function snapMore(
  eye: Pick<Bridge, "call">,
  file: Blob,
  of: DraftRow,
): Promise<DraftRow> {
  const { draft, taken } = await takeMore(eye, file, of);
  void makePreview(file)
    .then((preview) => keepPreview(taken.sha256, { preview }))
    .catch(() => undefined);
  return draft;
}

/**
 * Measures a draft's photo and keeps the document with the draft. Rejects with Refused (about the
 * options), Crashed, or the signal's reason; the photo is safe in any case.
 */
export async function measureDraft(
  eye: Pick<Bridge, "call">,
  draft: DraftRow,
  options: MeasureOptions,
  o: { signal?: AbortSignal; progress?: (step: MeasureStep) => void } = {},
): Promise<{ draft: DraftRow; document: Document }> {
  const call = {
    ...(o.signal && { signal: o.signal }),
    ...(o.progress && { progress: o.progress as (step: string) => void }),
  };
  // With marks moved on the same photo it is still decoded over there.
  const document =
    (draft.document && (await measureKept(eye, draft.photo, options, call))) ??
    (await measurePhoto(eye, draft.photo, options, call));
  const { joined: _, ...rest } = draft;
  const now: DraftRow = { ...rest, options, document };
  await keepDraft(now);
  if (document.width && document.height)
    await keepPreview(draft.photo, { width: document.width, height: document.height });
  return { draft: now, document };
}

async function measurePhoto(
  eye: Pick<Bridge, "call">,
  hash: string,
  options: MeasureOptions,
  call: CallOptions,
): Promise<Document> {
  const row = await photo(hash);
  if (!row?.original) throw new Error("the photo is not on this phone");
  return eye.call("measure", options, { bytes: await row.original.arrayBuffer(), ...call });
}

/**
 * Joins the photos of a draft whose first one is measured, and keeps the answer with it. What the
 * program does not remember is measured: one photo at a time is in its memory.
 */
export async function joinDraft(
  eye: Pick<Bridge, "call">,
  draft: DraftRow,
  others: MeasureOptions,
  o: { signal: AbortSignal; progress: (step: MeasureStep, photo: number) => void },
): Promise<DraftRow> {
  const of = photosOf(draft).map((sha256, i) => ({
    ...(i === 0 ? draft.options! : others),
    sha256,
  }));
  // The latest is the one that is new; all of them are after a break.
  for (let i = of.length; i >= 0; i--) {
    if (of[i]) {
      const { sha256, ...options } = of[i]!;
      await measurePhoto(eye, sha256, options, {
        signal: o.signal,
        progress: (s) => o.progress(s as MeasureStep, i + 1),
      });
    }
    const joined = await atHand(eye.call("together", of, { signal: o.signal }));
    if (!joined) continue;
    const now: DraftRow = { ...draft, joined, document: joined.documents[0] ?? draft.document! };
    await keepDraft(now);
    return now;
  }
  throw new Error("the photos were measured and are not at hand");
}

/** Undefined where the program does not remember what is asked for. */
const atHand = async <T>(p: Promise<T>): Promise<T | undefined> => {
  try {
    return await p;
  } catch (e) {
    if (e instanceof Refused && e.refusal.code === "not-at-hand") return undefined;
    throw e;
  }
};

/** Measures the photo that was measured last once more; undefined where it was another one. */
export const measureKept = (
  eye: Pick<Bridge, "call">,
  hash: string,
  options: MeasureOptions,
  call: CallOptions = {},
): Promise<Document | undefined> =>
  atHand(eye.call("measure.kept", { ...options, sha256: hash }, call));
