import type { NewPhoto } from "../../data/entries";
import { eye } from "../../eye";

/** Reads a photo for a note or a page: named by its content, kept with the entry. */
export async function newPhoto(f: File): Promise<NewPhoto> {
  const t = await eye.call("take", {}, { bytes: await f.arrayBuffer() });
  return {
    hash: t.sha256,
    media: t.media,
    blob: new Blob([f], { type: t.media }),
    width: 0,
    height: 0,
    copy: t.copy,
  };
}
