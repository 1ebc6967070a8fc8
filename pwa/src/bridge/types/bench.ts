// The bench's helpers: laying out, room for the tool.
import type { Check, Reading, Spec } from "./judging";
import type { Verdict } from "./vocabulary";

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

export interface Fit {
  tool: Tool;
  verdict: Verdict;
  checks: (Check & { obstacle: string; from: string; gap_mm: number; need_mm: number })[];
  cures?: string[];
  turned?: boolean;
}

declare module "./calls" {
  interface Calls {
    /** Reads what was typed into fields; a number alone is in the given units. */
    lengths: [
      { units: "mm" | "in"; texts: Record<string, string> },
      Record<string, { mm?: number; wrong?: string }>,
    ];
    layout: [LayInput, LayAnswer];
    room: [
      {
        axis: Omit<Reading, "quantity" | "method">;
        tools: Tool[];
        bend: BendBeside;
        spec?: Spec;
        head: { diameter_mm: number; height_mm: number };
        margin_mm: number;
      },
      { fits: Fit[]; head: { diameter_mm: number; height_mm: number } },
    ];
    template: [
      { paper: "a4" | "letter"; units: "mm" | "in"; layout?: LayInput },
      Record<string, never>,
    ];
  }
}
