// A measured photo.
import type { Reading, Limit, Spec, Summary } from "./judging";
import type { Kind, Point, Refusal, Note, Sides } from "./vocabulary";

export interface Camera {
  focal_px: number;
  cx_px: number;
  cy_px: number;
  k1: number;
  r: [[number, number, number], [number, number, number], [number, number, number]];
  t: [number, number, number];
}

export interface Scale {
  from: string;
  layout?: string;
  targets?: number;
  residual_px: number;
  tilt_deg: number;
  distance_mm: number;
  mm_per_px: number;
  camera: Camera;
  card_px?: Point[];
  window_px?: Point[];
}

/** A reading with the places that it was taken between. */
export interface PhotoReading extends Reading {
  edge_px?: [Point, Point];
  /** With an edge distance: how much farther it is read for each mm that the line is raised. */
  per_mm_up?: number;
  to_px?: Point;
  to?: number;
}

/** One fastener of a photo. One with `ask` has no readings. */
export interface PhotoLocation extends Summary {
  what: Kind;
  dash: string;
  nominal_mm: number;
  centre_px: Point;
  sheet_mm: Point;
  radius_mm: number;
  outline_px: Point[] | null;
  /** Centre and sides of the outline, to be moved by hand; photos that waited since an older version have none. */
  handles_px?: [Point, ...Sides];
  by_hand?: boolean;
  /** What an outline placed by hand was taken from: the edge near the marks, or the marks alone. */
  hand?: "edge" | "marks";
  /** That such a fastener stands there, and how clearly its outline stands out, 0 to 1. */
  probability: number;
  clear: number;
  readings: PhotoReading[];
  unread?: Limit[];
  notes?: string[];
  ask?: Refusal;
}

/** The document that `bucktail measure --json` prints. */
export interface Document {
  photo: string;
  sha256?: string;
  width?: number;
  height?: number;
  taken?: string;
  method: string;
  spec: Spec;
  scale: Scale | null;
  locations: PhotoLocation[];
  edges_px?: [Point, Point][];
  warnings: Note[];
  problems: Refusal[];
}
