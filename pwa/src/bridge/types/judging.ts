// Readings, limits and what the judging makes of them.
import type { Verdict, Whole, Kind, Disposition, How, Seen, Quantity, Basis } from "./vocabulary";

/** What is riveted at a location, from the manufactured head's side, and the rivet taken for it. */
export interface Stack {
  layers: { name?: string; thickness_mm: number }[];
  U_mm?: number;
  closed?: boolean;
  tube_mm?: number;
  rivet?: string;
}

export interface Contribution {
  label: string;
  u_mm: number;
  dof?: number;
  source?: string;
}

export interface Reading {
  quantity: Quantity;
  value_mm: number;
  U_mm: number;
  contributions?: Contribution[];
  how: How;
  warnings?: string[];
  method: string;
  photo?: string;
  /** A smaller value that the photo can't rule out. */
  less_mm?: number;
  /** The edge or neighbour that a distance goes to; of a hand reading without it: the nearest. */
  of?: Target;
  /** The distance is from the shank's own axis, not from the middle of the driven head. */
  from_shank?: boolean;
  /** Whose edge an edge distance goes to; none: that of the sheet on the photo. */
  layer?: string;
  /** How many photos it stands on, of several that were measured together. */
  views?: number;
  /** What a gauge study changed of U: the photo's own, times the factor. */
  grown?: { study: string; factor: number; U_mm: number };
}

/** An edge or a neighbour; reading is the number, from 1, of the finding's reading of the same one. */
export interface Target {
  nearest?: boolean;
  reading?: number;
  location?: string;
  name?: string;
}

export interface Limit {
  quantity: Quantity;
  name: string;
  min_mm?: number;
  max_mm?: number;
  set: string;
  source: string;
  basis: Basis;
  note?: string;
  layer?: string;
  published?: Limit;
  laxer?: boolean;
}

/** A limit with how it was had, in words. */
export interface KnownLimit extends Limit {
  from: string;
  published_from?: string;
}

export interface OwnLimit {
  quantity: string;
  kind?: Kind;
  size?: string;
  min_mm?: number;
  max_mm?: number;
  min_in?: number;
  max_in?: number;
  min_d?: number;
  max_d?: number;
  reference?: string;
  edition?: string;
  page?: string;
  note?: string;
}
export interface OwnLimits {
  name: string;
  reference: string;
  edition?: string;
  page?: string;
  limits: OwnLimit[];
}

export interface Spec {
  kind: Kind;
  nominal_mm: number;
  rivet?: "solid" | "pulled";
  flush?: boolean;
  pilot?: boolean;
  /** Only marked yet. */
  mark?: boolean;
  head?: string;
  limit_set?: string;
  own_limits?: OwnLimits;
}

export interface Check {
  reading: Reading;
  limit: Limit;
  verdict: Verdict;
  U_mm: number;
  added?: Contribution[];
  p_conform: number;
  notes?: string[];
}

export interface Result {
  verdict: Verdict | "";
  checks: Check[] | null;
  unread?: Limit[];
  notes?: string[];
}

/** Something that there are limits for and no reading. */
export interface Missing {
  what: string;
  do: string;
  limits: Limit[];
  /** How each limit was had. */
  from: string[];
}

/** What is shown where there is room for one value. */
export interface ShownOne {
  quantity: Quantity;
  value_mm: number;
  U_mm: number;
  /** Nothing was measured: the layout says so. */
  laid_out?: true;
}

/** What some checks and answers come to. */
export interface Summary {
  /** Of what was read and seen. */
  verdict: Verdict | "";
  whole: Whole | "";
  headline: string;
  checks: Check[];
  /** Index of the check that governs, -1: none. */
  governing: number;
  /** Checks of one reading are a row; the row that governs comes first, and so in each row. */
  rows: number[][];
  missing: Missing[];
  shown: ShownOne | null;
  /** Of each check. */
  said: Said[];
}

/** Of a check: what would settle it, and how its limit was had, and the published one before which it goes. */
export interface Said {
  settle?: string;
  from: string;
  published?: string;
}

/** A reading with what became of it: by is the entry whose hand reading took its place. */
export interface Stood extends Reading {
  look: string;
  number?: number;
  by?: string;
}

/** A finding, or readings by hand without one, with the hand readings on it. */
export interface Look extends Summary {
  /** The finding's entry first. */
  entries: string[];
  attempt: number;
  spec: Spec;
  readings: Stood[];
  notes?: string[];
}

/** What one finding or hand reading came to by itself. */
export interface Came {
  whole: Whole | "";
  not_read: number;
  /** Its marks in plots. */
  points?: Partial<Record<Plot, PlotMark>>;
}
export type Plot = "head" | "hole" | "edge";
export interface PlotMark {
  mm: number;
  U_mm: number;
  verdict: Whole | "";
  min_mm?: number;
  max_mm?: number;
}

export interface Question {
  id: string;
  kinds: Kind[];
  text: string;
  verdict: Verdict;
  source: string;
  basis: Basis;
  note?: string;
}
export interface Answer {
  question: string;
  seen: Seen;
  note?: string;
}

/** What was read and seen at one place: what a finding keeps of it, and what a screen shows. */
export interface Judged extends Summary {
  result: Result;
  answers_verdict: Verdict | "";
  suggest: Disposition | "";
  unlooked: Question[] | null;
  /** What the layout says beside: kept with the readings. */
  planned: Reading[];
}

/** What readings by hand come to: for their entry, and how the location stands then. */
export interface Hand {
  finding?: string;
  spec: Spec;
  result: Result;
  then: Summary;
  notes: string[];
}
