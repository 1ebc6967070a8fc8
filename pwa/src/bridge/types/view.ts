// The live view.
import type { Point, Refusal } from "./vocabulary";

export type Advice =
  "no-card" | "cut-off" | "far" | "near" | "tilted" | "aside" | "dark" | "shaking" | "ready";

export interface Frame {
  w: number;
  h: number;
  still: number;
  at_ms: number;
  /** The way from the card to where the phone is wanted, and how far from straight above. */
  toward?: Point;
  tilt_deg?: number;
}

/** What one frame shows; places in pixels of the frame. */
export interface Sight {
  advice: Advice;
  refusal?: Refusal;
  layout?: string;
  outline: Point[];
  rings: { at: Point; seen: boolean }[];
  seen: number;
  px_per_mm: number;
  distance_mm: number;
  nearer_mm: number;
  tilt_deg: number;
  /** Toward the card's near side: the phone must be raised there. */
  nearer: Point;
  paper_luma: number;
  mm_per_s: number;
}
