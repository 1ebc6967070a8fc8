// What page and worker say to each other.
import type { Refusal } from "./types";

export type ToWorker =
  | { module: WebAssembly.Module }
  | { job: number; name: string; json: string; bytes?: ArrayBuffer }
  /** Answers wants; no blob: it is not to be had. */
  | { have: number; blob: Blob | undefined };

/** The photo as taken; a copy of it without places, as the laptop gives it; a small picture. */
export type PhotoSize = "original" | "copy" | "preview";

export interface Crash {
  crash: string;
}

export type FromWorker =
  | { ready: true }
  | Crash
  | { job: number; step: string; fraction?: number }
  /** The program needs a photo to go on. */
  | { want: number; hash: string; size: PhotoSize }
  | { job: number; used: number; json: string; bytes?: ArrayBuffer; file?: Blob }
  | { job: number; used: number; refusal: Refusal }
  | { job: number; used: number; fault: string };
