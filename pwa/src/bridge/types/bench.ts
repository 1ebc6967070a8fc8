// The bench's helpers: laying out, room for the tool.
import type { Check, KnownLimit, Reading, Spec, Stack } from "./judging";
import type { Prep, Seen, Stage, Verdict, Whole } from "./vocabulary";

/** A place of a drawing, mm from the part's datum, x right, y down. */
export type XY = [number, number];
export interface Sketch {
  min: XY;
  max: XY;
  lines:
    | {
        role: "outline" | "behind" | "bend" | "sight" | "centre" | "band";
        points: XY[];
        closed?: boolean;
      }[]
    | null;
  holes?: { at: XY; d_mm: number; tag?: string }[];
  dims?: { from: XY; to: XY; side: "above" | "below" | "left" | "right"; rank: number }[];
}

export interface Tool {
  name: string;
  kind?: string;
  nose_mm: number;
  length_mm?: number;
  body_mm?: number;
  narrow_mm?: number;
  reach_mm?: number;
}
export interface BendBeside {
  thickness_mm: number;
  radius_mm: number;
  leg_mm: number;
  angle_deg?: number;
}

export interface LayLayer {
  name: string;
  thickness_mm?: number;
  from_mm?: number;
  to_mm?: number;
  corner_mm?: number;
  tube?: boolean;
  start_mm?: number;
  end_mm?: number;
}
export interface LayLeg {
  name?: string;
  width_mm: number;
  length_mm: number;
  thickness_mm: number;
  bend?: BendBeside;
  layers?: LayLayer[];
  row_mm?: number;
  gap_mm?: number;
  count?: number;
  pitch_mm?: number;
  end_mm?: number;
}
export interface LayInput {
  name?: string;
  spec: Spec;
  legs: LayLeg[];
  angle_deg?: number;
  tool?: Tool;
  margin_mm?: number;
  rows?: number;
  /** The other hand. */
  mirrored?: boolean;
}

export interface Bound {
  high: boolean;
  at_mm: number;
  name: string;
  formula: string;
  layer?: string;
  advice?: boolean;
  source: string;
  from: string;
}
export interface LayBand {
  bounds: Bound[];
  low_mm: number;
  high_mm: number;
  low: string;
  high: string;
  open: boolean;
  short_mm?: number;
  free_low_mm: number;
  free_high_mm: number;
  cures?: { what: string; works: boolean; mm?: number; text: string }[];
}
export interface LegAnswer {
  band: LayBand;
  rows_mm?: number[];
  options?: {
    count: number;
    pitch_mm: number;
    in_d: number;
    fits: boolean;
    why?: string;
    chosen?: boolean;
  }[];
  count: number;
  pitch_mm?: number;
  diagonal_mm?: number;
  first_mm: number;
  last_mm: number;
  along: Bound[] | null;
  problem?: string;
  notes?: string[];
}
export interface LayAnswer {
  legs: LegAnswer[];
  holes: { tag: string; leg: number; along_mm: number; across_mm: number; at: XY }[] | null;
  pitches: Bound[];
  sketch: Sketch;
  notes?: string[];
}

/** Which line of a standing leg a photo shows. */
export type LegFace = "outer face" | "inner face" | "bend tangent";

interface RoomUnder {
  tools: Tool[];
  bend: BendBeside;
  spec?: Spec;
  head: { diameter_mm: number; height_mm: number };
  margin_mm: number;
  /** Of what is said of it. */
  units?: "mm" | "in";
}

interface RoomTold {
  fits: Fit[];
  head: { diameter_mm: number; height_mm: number };
  axis: Reading;
  line?: LegFace;
}

export interface Fit {
  tool: Tool;
  verdict: Verdict;
  checks: (Check & { obstacle: string; from: string; gap_mm: number; need_mm: number })[];
  cures?: string[];
  turned?: boolean;
}

export interface BendFormula {
  name: string;
  words: string;
  source: string;
  from: string;
}
export interface BendInput {
  name?: string;
  alloy?: string;
  thickness_mm: number;
  radius_mm: number;
  angle_deg: number;
  legs_mm: number[];
  length_mm: number;
  formula?: string;
  /** The other hand. */
  mirrored?: boolean;
  holes?: { tag: string; leg: number; across_mm: number; along_mm: number; d_mm: number }[];
}
export interface BendFlat {
  k: number;
  setback_mm: number;
  allowance_mm: number;
  deduction_mm: number;
  flats_mm: number[];
  width_mm: number;
  by: BendFormula;
  others: (BendFormula & { allowance_mm: number; width_mm: number })[];
  spread_mm: number;
  lines: { name: string; at_mm: number }[];
  radius?: { verdict: Verdict; text: string; from: string; row: { source: string } };
  holes?: { tag: string; along_mm: number; on_blank_mm: number; clear_mm: number; note?: string }[];
  sketch: Sketch;
  notes: string[];
}

export interface RivetInput extends Omit<Stack, "rivet"> {
  spec: Spec;
  instead?: boolean;
  mixed?: boolean;
}
export interface RivetCard {
  grip_mm: number;
  candidates:
    | {
        name: string;
        text: string;
        body_mm: number;
        first?: boolean;
        source: string;
        from: string;
      }[]
    | null;
  ask?: string;
  drill?: string;
  pilot?: string;
  limits: KnownLimit[] | null;
  inside?: string[];
  warnings?: string[];
  verdict?: Verdict;
}

export interface Drilling {
  steps: {
    stage: Stage;
    drill: string;
    drill_mm: number;
    min_mm: number;
    max_mm: number;
    rim_mm: number;
    source: string;
    from: string;
  }[];
  clean_mm?: number;
  edge_mm: number;
  edge_from: string;
  temporary?: string;
  notes: string[];
  clamps: { stage: Stage; drill: string; hole_mm: number; tags: string[] }[] | null;
}

/** How far a location is from the edges of one of its layers; "" is the sheet on the photo. */
export interface Layered {
  layer: string;
  reading: Reading | null;
  verdict?: Verdict;
  limit_mm?: number;
}

/** Parts that were made from one another, the first article first. */
export interface Family {
  parts: { id: string; name: string; mirrored?: boolean }[];
  rows: {
    name: string;
    shape?: boolean;
    cells: {
      location?: string;
      whole?: Whole;
      not_read?: number;
      stage?: Stage;
      text?: string;
    }[];
  }[];
  /** What the first article lacks until it was checked wholly. */
  waits: string[];
  other_hand: string;
}

/** How far a hole is from a line of its photo, which may be that of a standing leg. */
export interface LegLine {
  tag: string;
  reading: Reading;
}

export interface RivetOrder {
  rows: { location: string; tag: string; set?: boolean; check?: boolean }[];
  check_every?: number;
  source: string;
  proposed?: boolean;
  warnings: string[];
}

export type ShapeKind =
  "twist" | "squareness" | "flushness" | "gap" | "straightness" | "formed angle" | "own measure";
export type ShapeState = "before" | "imposed" | "riveted" | "released";
export interface ShapeInput {
  name: string;
  kind: ShapeKind;
  state: ShapeState;
  method?: string;
  values_mm?: number[];
  stations?: { name: string; frame_mm: number; opening_mm?: number }[];
  U_mm: number;
  base_U_mm?: number;
  width_mm?: number;
  length_mm?: number;
  target_mm?: number;
  tolerance_mm?: number;
  source?: string;
  instrument?: string;
  tweaks?: number;
  wobble_mm?: number;
  cracks?: Seen;
}
export interface ShapeResult {
  value: number;
  U: number;
  unit: string;
  lines: { name: string; value: number; U: number; unit: string; by: string }[];
  stations?: { name: string; value: number; U: number; verdict?: Verdict }[];
  verdict?: Verdict;
  notes?: string[];
}
export interface ShapeData extends ShapeInput {
  result: ShapeResult;
}
export interface PartShape extends ShapeData {
  entry: string;
  at: string;
  stands?: boolean;
}
export interface Kept {
  imposed_mm: number;
  share: number;
  share_U: number;
  next_mm: number;
  next_U_mm: number;
  note: string;
}

declare module "./calls" {
  interface Calls {
    /** Reads what was typed into fields; a number alone is in the given units. */
    lengths: [
      { units: "mm" | "in"; texts: Record<string, string> },
      Record<string, { mm?: number; wrong?: string }>,
    ];
    layout: [LayInput, LayAnswer];
    /** The part alone, without its holes. */
    "layout.outline": [LayInput, Sketch];
    room: [
      RoomUnder & {
        axis: Omit<Reading, "quantity" | "method">;
        /** What the reading goes to, where it is a line of a photo. */
        line?: LegFace;
      },
      RoomTold,
    ];
    /** The same at a hole of a photo, by a line near it: the one at that index, or, at -1, the one
     * that the layout proposes. */
    "room.photo": [
      RoomUnder & {
        readings: (Reading & { per_mm_up?: number })[];
        at: number;
        line?: LegFace;
        plan?: LayInput;
        place_mm?: [number, number];
      },
      RoomTold & { at: number },
    ];
    bend: [BendInput, BendFlat];
    "bend.choices": [Record<string, never>, { alloys: string[]; formulas: BendFormula[] }];
    drillup: [Spec & { row?: string[] }, Drilling];
    /** Which locations of a part may come to each stage and step. */
    "drillup.next": [
      { id: string },
      { stages: Partial<Record<Stage, string[]>>; preps: Partial<Record<Prep, string[]>> },
    ];
    pins: [
      { go_mm: number; no_go_mm: number; go_enters: boolean; no_go_enters: boolean },
      Reading[],
    ];
    /** Distances from holes of a part to lines of their photos, nearest first. */
    legs: [{ id: string }, LegLine[]];
    layers: [{ id: string }, Record<string, Layered[]>];
    family: [{ id: string }, Family];
    order: [{ id: string }, RivetOrder];
    preparation: [Record<string, never>, Record<string, string[]>];
    rivet: [RivetInput, RivetCard];
    shape: [ShapeInput, ShapeResult];
    keep: [
      {
        spacers_mm: [number, number, number, number];
        released_mm: number;
        U_mm: number;
        target_mm: number;
      },
      Kept,
    ];
    "state.shapes": [Record<string, never>, (PartShape & { part: string; part_name: string })[]];
    template: [
      { paper: "a4" | "letter"; units: "mm" | "in"; layout?: LayInput; bend?: BendInput },
      Record<string, never>,
    ];
  }
}
