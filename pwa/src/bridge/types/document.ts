// A measured photo.
import type { Reading, Limit, Spec, Summary } from "./judging";
import type { Proof } from "./study";
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
  /** U that the first of several photos gave it by itself. */
  alone_U_mm?: number;
}

/** What one of several photos that were measured together shows of a location. */
export interface PhotoLook {
  photo: string;
  centre_px: Point;
  used: boolean;
  why?: string;
}

/** One of the photos that were measured together. */
export interface PhotoPart {
  name: string;
  sha256?: string;
  width?: number;
  height?: number;
  taken?: string;
  scale: Scale | null;
  /** Why it has no part in the answer. */
  left_out?: Refusal;
}

export type Side = "left" | "right" | "near" | "far";

/** Where one more photo tells most. */
export interface NextView {
  from: Side;
  tilt_deg: number;
  /** Where the card's outline then lies, in pixels of this photo. */
  card_px: Point[];
}

/** The answer of several photos, as each of them shows it; null of one that is left out. */
export interface Joined {
  photos: PhotoPart[];
  documents: (Document | null)[];
  /** What a finding keeps of the photos, for each location; none where one alone counts. */
  views?: { photo: number; used: boolean; why?: string; places?: Places }[][];
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
  /** Of photos that were measured together. */
  photos?: PhotoLook[];
  /** How far a driven head's flat is from parallel to the sheet. */
  flat_tilt?: { deg: number; U_deg: number };
}

/** Where on its shot a finding was measured; the call "places" makes it; for drawing alone. */
export interface Places {
  width_px: number;
  height_px: number;
  camera: Camera;
  layout?: string;
  centre_px: Point;
  sheet_mm: [number, number];
  radius_mm: number;
  outline_px?: Point[];
  spans?: { reading: number; edge_px?: [Point, Point]; to_px?: Point }[];
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
  next?: NextView;
  /** Maker and model, as the photo tells them. */
  camera?: string;
  /** The gauge study in force for it: none where it has no id; other: made with another sheet or card. */
  proven?: Proof & { other?: boolean };
  locations: PhotoLocation[];
  edges_px?: [Point, Point][];
  warnings: Note[];
  problems: Refusal[];
}
