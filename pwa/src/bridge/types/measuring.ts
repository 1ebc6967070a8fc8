// What is asked of a photo.
import type { Proof } from "./study";
import type { CardData } from "./entrydata";
import type { Spec } from "./judging";
import type { Point, Sides } from "./vocabulary";

/** What the builder says to a photo. Points are upright pixels. */
export interface MeasureOptions {
  spec: Spec;
  /** As typed, echoed back. */
  size?: string;
  /** A name for the photo, echoed back. */
  photo?: string;
  card?: "auto" | "corner" | "strip" | "window" | "none";
  /** Of the sheet that the card was cut from; none: an uncalibrated print. */
  calibration?: CardData;
  /** The project's gauge studies, and which phone this is. */
  proofs?: Proof[];
  device?: string;
  sheet_mm?: number;
  /** A fastener stands there. */
  taps?: Point[];
  /** A sheet edge runs there. */
  edge_taps?: Point[];
  /** Measure at the taps and hand-placed outlines alone. */
  only?: boolean;
  /** By their sides: the points farthest to the photo's right, bottom, left and top. */
  outlines?: { sides: Sides }[];
  edges?: [Point, Point][];
  /** A scale by two points on the sheet a known distance apart. */
  two_points?: { a: Point; b: Point; mm: number };
  /** A scale by a round object that lies on the sheet. */
  round?: { at: Point; diameter_mm: number };
}

/** What can be said of a photo's file at once. */
export interface Taken {
  sha256: string;
  media: "image/jpeg" | "image/png";
  bytes: number;
  /** SHA-256 of its copy without location data. */
  copy?: string;
  width: number;
  height: number;
}

/** What is begun, in this order. */
export type MeasureStep = "decode" | "card" | "outlines" | "edges";
