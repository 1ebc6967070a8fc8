// From a photo to a measured document, with the photo safe on the disk first.
import type { Bridge } from "../bridge/client";
import type { Document, MeasureOptions, MeasureStep } from "../bridge/types";
import type { DraftRow } from "../data/db";
import { keepDraft, keepPreview, makePreview, photo, takeIn } from "../data/photos";

/** Takes a photo in; see takeIn. The preview is made on the side: it never holds up or fails the photo. */
export async function snap(eye: Pick<Bridge, "call">, file: Blob, about: Partial<Pick<DraftRow, "project" | "part" | "location">> = {}): Promise<DraftRow> {
  const { draft } = await takeIn(eye, file, about);
  void makePreview(file).then((preview) => keepPreview(draft.photo, { preview })).catch(() => undefined);
  return draft;
}

/**
 * Measures a draft's photo and keeps the document with the draft. Rejects with Refused (about the
 * options), Crashed, or the signal's reason; the photo is safe in any case.
 */
export async function measureDraft(eye: Pick<Bridge, "call">, draft: DraftRow, options: MeasureOptions,
  o: { signal?: AbortSignal; progress?: (step: MeasureStep) => void } = {}): Promise<{ draft: DraftRow; document: Document }> {
  const row = await photo(draft.photo);
  if (!row?.original) throw new Error("the photo is not on this phone");
  const document = await eye.call("measure", options, {
    bytes: await row.original.arrayBuffer(),
    ...(o.signal && { signal: o.signal }),
    ...(o.progress && { progress: o.progress as (step: string) => void }),
  });
  const now: DraftRow = { ...draft, options, document };
  await keepDraft(now);
  if (document.width && document.height) await keepPreview(draft.photo, { width: document.width, height: document.height });
  return { draft: now, document };
}
