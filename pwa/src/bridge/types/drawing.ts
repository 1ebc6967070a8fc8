// What is drawn over a photo, as the Go side plans it.
import type { Camera, Document, Places } from "./document";
import type { Check, Reading, Spec } from "./judging";
import type { Kind, Point, Sides, Units, Verdict, Whole } from "./vocabulary";

/** A verdict is its own ink; none: plain. */
export type DrawingInk = Verdict | "pencil";
/** Left, top, right, bottom. */
export type DrawingBox = [number, number, number, number];

/** What is drawn over a photo, as planned: CSS px of the frame. Halos first, then lines, values, tags. */
export interface Drawing {
  width: number;
  height: number;
  text_size: number;
  lines: {
    role: "outline" | "mark" | "dimension" | "extension" | "leader" | "arrow";
    /** x and y in turn. */
    points: number[];
    closed?: boolean;
    dashed?: boolean;
    /** None: filled. */
    width?: number;
    halo: number;
    ink?: DrawingInk;
  }[];
  values: { of: number; box: DrawingBox; text: string; ink?: DrawingInk }[];
  tags: {
    of: number;
    box: DrawingBox;
    text: string;
    text_x: number;
    verdict?: Whole;
    /** The middle of its verdict's shape, 18 px wide. */
    shape_x?: number;
    ink?: DrawingInk;
    chosen?: boolean;
  }[];
  /** Where a finger means a location, in their order. */
  hits: { at: Point; radius: number }[];
}

/** A photo's px times s plus x and y are CSS px of the frame. */
export interface DrawView {
  s: number;
  x: number;
  y: number;
}

/** A part of a photo, px from its corner. */
export interface DrawFrame {
  x: number;
  y: number;
  w: number;
  h: number;
}

/** A finding as the record keeps it, with the checks that stand now. */
export interface DrawLook {
  places: Places;
  spec: Spec;
  readings: Reading[];
  checks: Check[];
  /** The finding's own: values are written with their U. */
  judged: Check[];
  /** How its location stands as a whole. */
  whole: Whole | "";
}

/** What is drawn on one photo, and how: a document, or findings of which the first is dimensioned. */
export interface DrawScene {
  document?: Document;
  looks?: DrawLook[];
  tags: string[];
  units: Units;
  fractions: boolean;
  text_size: number;
  heavier: number;
  /** Of characters, in units of the text's size. */
  widths: Record<string, number>;
}

/** A scene by its name; it comes along where it is not the one that was drawn last. */
export interface InScene {
  of: string;
  scene?: DrawScene;
  /** Number of a location, from 1; 0: all. */
  chosen: number;
  size: [number, number];
}

/** An outline that a hand places, by its sides. */
export interface RingIn {
  camera: Camera;
  what: Kind;
  nominal_mm: number;
  sides: Sides;
}
