// From a photo to a measured document, with the photo safe on the disk first.
import { Refused, type Bridge, type CallOptions } from "../bridge/client";
import type { Document, MeasureOptions, MeasureStep } from "../bridge/types";
import type { DraftRow } from "../data/db";
import { keepDraft, keepPreview, makePreview, photo, takeIn } from "../data/photos";

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
  let document = draft.document && (await measureKept(eye, draft.photo, options, call));
  if (!document) {
    const row = await photo(draft.photo);
    if (!row?.original) throw new Error("the photo is not on this phone");
    document = await eye.call("measure", options, {
      bytes: await row.original.arrayBuffer(),
      ...call,
    });
  }
  const now: DraftRow = { ...draft, options, document };
  await keepDraft(now);
  if (document.width && document.height)
    await keepPreview(draft.photo, { width: document.width, height: document.height });
  return { draft: now, document };
}

/** Measures the photo that was measured last once more; undefined where it was another one. */
export async function measureKept(
  eye: Pick<Bridge, "call">,
  hash: string,
  options: MeasureOptions,
  call: CallOptions = {},
): Promise<Document | undefined> {
  try {
    return await eye.call("measure.kept", { ...options, sha256: hash }, call);
  } catch (e) {
    if (e instanceof Refused && e.refusal.code === "not-at-hand") return undefined;
    throw e;
  }
}
