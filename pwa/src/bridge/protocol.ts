// What page and worker say to each other.
import type { Refusal } from "./types";

export type ToWorker =
  | { module: WebAssembly.Module }
  | { job: number; name: string; json: string; bytes?: ArrayBuffer };

export interface Crash { crash: string }

export type FromWorker =
  | { ready: true }
  | Crash
  | { job: number; step: string }
  | { job: number; used: number; json: string; bytes?: ArrayBuffer }
  | { job: number; used: number; refusal: Refusal }
  | { job: number; used: number; fault: string };
