// Which locations of a part a photo shows.
import type { Pin } from "./entrydata";
import type { Limit, Reading } from "./judging";
import type { Camera } from "./document";
import type { Kind, Point } from "./vocabulary";

export interface PlacingIn {
  part: string;
  fasteners: {
    sheet_mm: Point;
    readings: Reading[];
    what?: Kind;
    /** That its edge distances were read to: two points of each on the photo. */
    edges?: { px: [Point, Point]; U_mm: number }[];
    /** It was not read: kept only where somebody says so. */
    asked?: boolean;
    /** A location's id, "new", "none"; not given: nothing was said yet. */
    said?: string;
    /** That a new one was given already. */
    tag?: string;
  }[];
  wanted?: string[];
  camera?: Camera;
}

export interface Placed {
  /** loc: a location's id, "new", "none", "" where it must be asked. */
  is: { loc: string; tag: string }[];
  /** The fastener to ask about first, -1: none. */
  ask: number;
  /** Which locations it may be. */
  of: string[];
  /** It may be one that was not entered yet. */
  new: boolean;
  /** Asked is which of the fasteners this location is. */
  which?: string;
  /** What was said does not fit the pattern that is known. */
  unlike?: boolean;
  /** All that the fasteners may be together, one of which is chosen: loc of each. */
  ways?: string[][];
  /** The holes are not this part's as it lies: turned over, or another part's. */
  hand?: string;
}

/** A photo to lay behind pins that were measured in it. */
export interface Behind {
  photo: string;
  /** Height over width. */
  ratio: number;
  /** From a place of the photo to one of the layout, fractions, by rows, for homogeneous coordinates. */
  map: number[];
}

export interface TightIn {
  part: string;
  pins: Pin[];
}
/** Pins that lie nearer to each other, or to the edge (b is -1), than the limits in force allow. */
export interface Tight {
  a: number;
  b: number;
  mm: number;
  d: number;
  limit: Limit;
  basis: string;
}
