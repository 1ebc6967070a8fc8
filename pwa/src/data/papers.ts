// What leaves the house, made on this phone: a Go program of its own, read from the phone's disk
// when a file is asked for and ended with it, since a whole record and its photos go through it.
import { Bridge } from "../bridge/client";
import type { PhotoSize } from "../bridge/protocol";
import { readDisk } from "./book";
import { photo, picture } from "./photos";

export interface MakeAsk {
  kind: string;
  project?: string;
  parts?: string[];
  paper?: "a4" | "letter";
  units?: "mm" | "in" | "fractions";
}

export interface Made {
  file: Blob;
  /** Photos that are not on this phone, and of how many of them a preview stands in. */
  missing: number;
  previews: number;
}

declare module "../bridge/types/calls" {
  interface Calls {
    make: [MakeAsk, { missing: number; previews: number }];
  }
}

/** The laptop's copy, while it is in reach. */
async function copy(hash: string): Promise<Blob | undefined> {
  if (away) return undefined;
  try {
    const r = await fetch(`/api/photos/${hash}`, { cache: "no-store" });
    return r.ok ? await r.blob() : undefined;
  } catch {
    away = true; // not asked again for each of a hundred photos
    return undefined;
  }
}

let away = false;

const papers = new Bridge({
  module: __PAPERS__,
  prepare: (call) =>
    readDisk((rows) =>
      call(
        "record.load",
        rows.map((r) => ({ raw: r.raw, hash: r.hash })),
      ),
    ),
  photo: async (hash: string, size: PhotoSize) =>
    size === "original"
      ? (await photo(hash))?.original
      : size === "copy"
        ? copy(hash)
        : picture(hash, "preview"),
});

/**
 * Makes a file of what is on this phone. Rejects with Refused where what was asked can't be made,
 * and with the signal's reason.
 *
 * @param o.reach whether the laptop may be asked for photos that are not here.
 */
export async function makeHere(
  ask: MakeAsk,
  o: { reach: boolean; signal?: AbortSignal; progress?: (fraction: number) => void },
): Promise<Made> {
  away = !o.reach;
  try {
    const { told, file } = await papers.callFile("make", ask, {
      ...(o.signal && { signal: o.signal }),
      progress: (_step, fraction) => o.progress?.(fraction ?? 0),
    });
    return { file, ...told };
  } finally {
    papers.stop();
  }
}
