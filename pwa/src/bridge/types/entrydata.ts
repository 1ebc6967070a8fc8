// What the writer of an entry says, by its kind.
import type { LayInput, ShapeData, ShapeKind, Tool } from "./bench";
import type { StudyData } from "./study";
import type { Places } from "./document";
import type { Reading, Limit, OwnLimits, Spec, Stack, Result, Answer } from "./judging";
import type { Verdict, Stage, Prep, Seen, Disposition, Units, Paper } from "./vocabulary";

export interface DeviceData {
  name: string;
  /** With which all of the chain is signed from here on. */
  key?: string;
  app?: string;
}
export interface ProjectData {
  name?: string;
  aircraft?: string;
  mark?: string;
  builder?: string;
}
export interface SettingsData {
  units?: Units;
  fractions?: boolean;
  paper?: Paper;
  limit_set?: string;
  authority?: string;
}
export interface CardData {
  sheet: string;
  paper?: Paper;
  check_nominal_mm: number;
  check_across_mm: number;
  check_along_mm: number;
  check_U_mm: number;
  thickness_mm: number;
  thickness_U_mm: number;
  measured_with?: string;
  identity?: Identity;
  printed_at?: string;
  layouts_revision?: string;
}
export interface ToolData extends Tool {
  out?: boolean;
}
export interface Layer {
  name?: string;
  material: string;
  thickness_mm: number;
}
export interface PartData {
  name?: string;
  drawing?: string;
  layers?: Layer[];
  spec?: Spec;
  closed?: boolean;
  like?: Like;
  /** What the members said before, on the device that changed them. */
  was?: PartData;
}
export interface LayoutData {
  photo?: string;
  width_px?: number;
  height_px?: number;
  width_mm?: number;
  height_mm?: number;
  step_mm?: number;
  /** Places and size were measured in photos. */
  from?: "photos";
  /** There are no other locations than those that are pinned. */
  all?: boolean;
  /** The layout that the grid was made from. */
  plan?: LayInput;
}
export interface LimitsData {
  set: string;
  own?: OwnLimits;
}
export interface LaxerData {
  limit: Limit;
  reference: string;
  said?: string;
}
/** Fractions of the layout picture, x right, y down. */
export interface Pin {
  x: number;
  y: number;
}
export interface LocationData {
  tag?: string;
  pin?: Pin;
  spec?: Spec;
  out?: boolean;
  /** A hole that should not be there: a neighbour of the others. */
  stray?: boolean;
  stack?: Stack;
}
/** Of a measuring instrument, as its label says; dates are YYYY-MM-DD. */
export interface Identity {
  number?: string;
  calibrated?: string;
  due?: string;
}
export interface StageData {
  stage: Stage;
  step?: Prep;
  /** Its blind side can't be reached. */
  unreached?: boolean;
}
export interface FiledData {
  edge: string;
  layer?: string;
  taken_mm?: number;
}
/** The part that another one was made from. */
export interface Like {
  part: string;
  mirrored?: boolean;
  targets?: {
    name: string;
    kind: ShapeKind;
    target_mm: number;
    tolerance_mm: number;
    source: string;
  }[];
}
export interface PrepData {
  items: { text: string; done?: boolean; note?: string; photo?: string }[];
  coats?: Coat[];
}
export interface Coat {
  what: string;
  name: string;
  batch?: string;
  date?: string;
  cure?: string;
  wet?: boolean;
}
export interface CouponData {
  spec: Spec;
  layers?: Layer[];
  lot: string;
  photo?: string;
  /** Yes: it failed. */
  push: Seen;
  feeler: Seen;
  note?: string;
}
export interface OrderData {
  locations: string[];
  check_every?: number;
  source?: string;
}
export interface ShotData {
  photo: string;
  bytes: number;
  media: string;
  width_px?: number;
  height_px?: number;
  calibration?: string;
  layout?: string;
  locations?: string[];
  camera?: string;
  taken_at?: string;
  refused?: string;
}
export interface Crop {
  x: number;
  y: number;
  w: number;
  h: number;
}
export interface Mark {
  what: string;
  points_px: { x: number; y: number }[];
  length_mm?: number;
  U_mm?: number;
  note?: string;
}
export interface FindingData {
  shot?: string;
  spec: Spec;
  readings?: Reading[];
  result: Result;
  answers?: Answer[];
  answers_verdict?: Verdict | "";
  method?: string;
  crop?: Crop;
  marks?: Mark[];
  places?: Places;
  /** Shots that were measured together, its own among them. */
  views?: { shot: string; used: boolean; why?: string; places?: Places }[];
  moved_from?: string;
}
export interface GaugeData {
  finding?: string;
  spec: Spec;
  instrument: string;
  identity?: Identity;
  readings: Reading[];
  result: Result;
  photos?: string[];
  moved_from?: string;
}
export interface DispositionData {
  finding: string;
  action: Disposition;
  reason?: string;
  answer?: string;
}
export interface DrilledOutData {
  finding?: string;
  reason?: string;
  drill_mm?: number;
  steps?: string[];
}
export interface AttemptData {
  spec?: Spec;
  tool?: string;
}
export interface NoteData {
  text: string;
  photos?: string[];
  finding?: string;
}
export interface OnPaper {
  photo: string;
  date?: string;
  page?: string;
}
export interface DecisionData {
  finding: string;
  answer: Disposition;
  reason?: string;
  name: string;
  number?: string;
  on_paper?: OnPaper;
  /** Decisions that stood where this one was written. */
  seen?: string[];
}
export interface SignOffData {
  covers: string[];
  digest: string;
  name: string;
  number?: string;
  remark?: string;
  on_paper?: OnPaper;
}
export type WithdrawalData = Record<string, never>;

export interface AcceptedData {
  faults: { kind: string; device: string; seq: number; text: string }[];
  why: string;
}
export interface MemberData {
  device: string;
  what: "joined" | "rejoined" | "key" | "revoked";
  name: string;
  role: "builder" | "inspector";
  key?: string;
  before?: string;
}

/** The data of each kind of entry. */
export interface DataOf {
  device: DeviceData;
  member: MemberData;
  accepted: AcceptedData;
  project: ProjectData;
  settings: SettingsData;
  card: CardData;
  study: StudyData;
  tool: ToolData;
  part: PartData;
  layout: LayoutData;
  preparation: PrepData;
  coupon: CouponData;
  order: OrderData;
  shape: ShapeData;
  limits: LimitsData;
  "laxer-limit": LaxerData;
  location: LocationData;
  stage: StageData;
  filed: FiledData;
  shot: ShotData;
  finding: FindingData;
  gauge: GaugeData;
  disposition: DispositionData;
  "drilled-out": DrilledOutData;
  attempt: AttemptData;
  note: NoteData;
  decision: DecisionData;
  "sign-off": SignOffData;
  withdrawal: WithdrawalData;
}
export type EntryKind = keyof DataOf;
