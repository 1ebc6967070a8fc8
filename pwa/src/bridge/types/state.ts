// What the record says of projects, parts and locations now.
import type { Behind } from "./placing";
import type { PartShape, Tool } from "./bench";
import type { Proof, StudyData } from "./study";
import type { Entry } from "./entries";
import type {
  CardData,
  CouponData,
  FiledData,
  Layer,
  LayoutData,
  Like,
  LimitsData,
  LaxerData,
  OrderData,
  Pin,
  PrepData,
  OnPaper,
} from "./entrydata";
import type { Check, Look, Reading, ShownOne, Spec, Stack, Summary } from "./judging";
import type {
  Kind,
  Verdict,
  Whole,
  Stage,
  Prep,
  Disposition,
  WorkKind,
  Units,
  Paper,
  Next,
  Origin,
} from "./vocabulary";

export interface Remark {
  entry: string;
  text: string;
}

export interface Card extends CardData {
  id: string;
  at: string;
}
export interface Project {
  id: string;
  known: boolean;
  name: string;
  aircraft?: string;
  mark?: string;
  builder?: string;
  units: Units;
  fractions?: boolean;
  paper: Paper;
  limit_set: string;
  authority?: string;
  cards?: Card[];
  tools?: (Tool & { id: string })[];
  /** Gauge studies of all phones, oldest first, and what they say of readings. */
  studies?: (StudyData & { entry: string; at: string; phone: string })[];
  proofs?: Proof[];
  notes?: string[];
  remarks?: Remark[];
  entries: number;
  last_id: string;
}
export interface Laxer extends LaxerData {
  entry: string;
}
export interface SignOff {
  entry: string;
  at: string;
  name: string;
  number?: string;
  remark?: string;
  on_paper?: OnPaper;
  covered: number;
  /** Short form for the inspector to keep. */
  code: string;
}
export interface SignOffStatus {
  since?: string[];
  missing?: string[];
  /** Rejections that the signer had not seen. */
  against?: string[];
  altered?: boolean;
}
export interface Part {
  id: string;
  project: string;
  known: boolean;
  name: string;
  drawing?: string;
  layers?: Layer[];
  spec?: Spec;
  limits?: LimitsData;
  laxer?: Laxer[];
  layout?: LayoutData;
  layout_entry?: string;
  shapes?: PartShape[];
  like?: Like;
  prep?: PrepData & { entry: string; at: string };
  coupons?: (CouponData & { entry: string; at: string })[];
  order?: OrderData;
  closed?: boolean;
  /** What two devices changed without knowing of one another. */
  clashes?: Clash[];
  sign_offs?: SignOff[];
  notes?: string[];
  remarks?: Remark[];
  entries: number;
  last_id: string;
}
export interface Counts {
  locations: number;
  stages?: Partial<Record<Stage, number>>;
  verdicts?: Partial<Record<Whole, number>>;
  work?: Partial<Record<WorkKind, number>>;
  awaits?: number;
  confirmed?: number;
}
export interface Attempt {
  n: number;
  set?: string;
  ended?: string;
  findings?: string[];
  /** The same ids: a finding with the hand readings on it. */
  looks?: string[][];
  verdict?: Whole;
}
export interface Contested {
  entry: string;
  at: string;
  name: string;
  answer: Disposition;
  reason?: string;
}
export interface Clash {
  what: "name" | "drawing" | "material" | "fastener";
  before?: string;
  now: string;
  entries: string[];
}
export interface Work {
  kind: WorkKind;
  entry: string;
  text?: string;
}
export interface Location {
  id: string;
  project: string;
  part: string;
  known: boolean;
  out?: boolean;
  tag: string;
  pin?: Pin;
  spec?: Spec;
  limits?: LimitsData;
  stray?: boolean;
  stack?: Stack;
  stage: Stage;
  step?: Prep;
  unreached?: boolean;
  filed?: (FiledData & { entry: string })[];
  attempt: number;
  attempts: Attempt[];
  /** Of what was read and seen. */
  verdict?: Verdict;
  whole?: Whole;
  not_read?: number;
  finding?: string;
  decision?: Disposition;
  /** Decisions of inspectors who did not know of one another's, strictest first. */
  disagree?: Contested[];
  work?: Work[];
  awaits?: boolean;
  remarks?: Remark[];
  entries: number;
  last_id: string;
}
export interface WorkItem extends Work {
  part: string;
  location: string;
  tag: string;
  project: string;
  part_name: string;
  /** How the location stands. */
  whole?: Whole;
  not_read?: number;
  /** What governs it, where the line is from a measurement. */
  check?: Check;
  next: Next;
}

export interface PartView {
  project: Project;
  part: Part;
  counts: Counts;
  spec: Spec | null;
  places: Place[];
  /** Rectified, where the pins are from photos. */
  behind: Behind | null;
  rivets: Rivets[];
}
/** A rivet that a part wants, and at which locations. */
export interface Rivets {
  /** Its designation; "" while none is settled. */
  name: string;
  grip_mm: number;
  layers: { name?: string; thickness_mm: number }[];
  /** The stack is that of these locations, not the part's. */
  own?: boolean;
  /** What must be settled before one is taken. */
  ask?: string;
  locations: string[];
  tags: string[];
}
/** A location as lists and maps show it. */
export interface Place {
  location: Location;
  spec: Spec | null;
  /** The finding that stands; null: none. */
  now: {
    headline: string;
    shown: ShownOne | null;
    check: Check | null;
    /** What there are limits for and no reading. */
    not_read: string[];
  } | null;
  /** How soon it needs somebody, the smallest first. */
  urgency: number;
  /** What a photo of it shows now, where its stage says so. */
  look_for?: Kind;
}
export interface LocationView {
  project: Project;
  part: Part;
  location: Location;
  /** What is meant to stand there, under the limits in force, and who chose them. */
  spec: Spec | null;
  origin?: Origin;
  looks: Look[];
  /** Index of the look that stands, -1: none. */
  now: number;
  /** What each finding and hand reading came to by itself, by its entry. */
  own: Record<string, Summary>;
  /** What can be done, the usual thing first. */
  next: Next[];
  /** Readings of its hole from before the rivet was set. */
  hole: Reading[];
  /** All about it, oldest first, superseded ones too. */
  entries: Entry[];
}
