// The Go side's JSON, by hand: one interface for each Go type, members spelled as there. Lengths
// are millimetres, places in a photo are [u, v] in upright pixels with (0, 0) the centre of the
// first one. The unit tests hold these against testdata/wire and a measured document.

export type Verdict = "within" | "out" | "too close";
export type Kind = "shop-head" | "universal-head" | "pulled-head" | "flush-head" | "hole";
export type Stage = "marked" | "pilot hole" | "final hole" | "set rivet" | "drilled out";
export type Disposition =
  "drill out" | "keep" | "re-measure" | "refer to the designer" | "confirmed" | "rejected";
export type WorkKind =
  "drill out" | "measure by hand" | "set a new rivet" | "decide" | "refer" | "inspector asks";
export type Role = "builder" | "inspector";
export type Units = "mm" | "in";
export type Paper = "a4" | "letter";
export type How = "photo" | "photo with hand-placed mark" | "hand gauge";
export type Seen = "yes" | "no" | "not looked";
export type Quantity =
  | "head_d_mean"
  | "head_d_max"
  | "head_d_min"
  | "hole_d_mean"
  | "hole_d_max"
  | "hole_d_min"
  | "out_of_round"
  | "mandrel_off"
  | "edge_distance"
  | "pitch"
  | "head_height";
/** How a figure of the tables was come by: read in the document, derived, from memory … */
export type Basis = string;
export type Point = [number, number];

/** What could not be done with what was given, and what to do: shown as it is. */
export interface Refusal {
  code: string;
  text: string;
  do: string;
}
export interface Note {
  code: string;
  text: string;
}

// qc ------------------------------------------------------------------------------------------

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
  less_mm?: number;
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
  published?: Limit;
  laxer?: boolean;
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
  note?: string;
}
export interface OwnLimits {
  name: string;
  reference: string;
  limits: OwnLimit[];
}

export interface Spec {
  kind: Kind;
  nominal_mm: number;
  rivet?: "solid" | "pulled";
  flush?: boolean;
  pilot?: boolean;
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

export interface Cite {
  source: string;
  basis: Basis;
  note?: string;
}
export interface Caution extends Cite {
  id: string;
  task: string[];
  text: string;
}
export interface Step {
  text: string;
  cautions?: Caution[];
  sources: Cite[];
}
export interface NextSize {
  spec: Spec;
  name: string;
  drill?: string;
  hole_check: Limit[] | null;
  checks: Check[] | null;
  verdict: Verdict | "";
  unread?: Limit[];
}
export interface Rework {
  steps: Step[];
  hole_check: Limit[] | null;
  next_size?: NextSize;
  notes: string[];
}

export interface Size {
  text: string;
  nominal_mm: number;
  dash?: number;
  /** Where a drill was named: the hole that it makes. */
  drill?: string;
  rivet?: "solid" | "pulled";
  hole?: Stage;
}
export interface LimitSet {
  name: string;
  title: string;
  about: string;
  source: string;
}
export interface SolidRivet extends Cite {
  dash: number;
  fraction: string;
  nominal_mm: number;
  length_step_mm: number;
}
export interface PulledRivet extends Cite {
  size: string;
  nominal_mm: number;
  head: string;
  body_min_mm: number;
  body_max_mm: number;
  head_min_mm: number;
  head_max_mm: number;
  height_max_mm: number;
  mandrel_max_mm?: number;
}

/** What choices are made from; never changes while the app runs. */
export interface Handbook {
  kinds: Kind[];
  stages: Stage[];
  dispositions: Disposition[];
  sets: LimitSet[];
  default_set: string;
  questions: Question[];
  solid: SolidRivet[];
  pulled: PulledRivet[];
  caution: string;
}

export interface Judged {
  result: Result;
  /** Of checks and answers together. */
  verdict: Verdict | "";
  answers_verdict: Verdict | "";
  suggest: Disposition | "";
  unlooked: Question[] | null;
}

// A measured photo ------------------------------------------------------------------------------

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
  to_px?: Point;
  to?: number;
}

/** One fastener of a photo. One with `ask` has no readings. */
export interface PhotoLocation {
  what: Kind;
  dash: string;
  nominal_mm: number;
  centre_px: Point;
  sheet_mm: Point;
  radius_mm: number;
  outline_px: Point[] | null;
  by_hand?: boolean;
  /** That such a fastener stands there, and how clearly its outline stands out, 0 to 1. */
  probability: number;
  clear: number;
  verdict: Verdict | "";
  readings: PhotoReading[];
  checks: Check[];
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
  sheet_mm?: number;
  /** A fastener stands there. */
  taps?: Point[];
  /** A sheet edge runs there. */
  edge_taps?: Point[];
  /** Measure at the taps and hand-placed outlines alone. */
  only?: boolean;
  outlines?: { centre: Point; rim: Point }[];
  edges?: [Point, Point][];
  /** A scale by two points on the sheet a known distance apart. */
  two_points?: { a: Point; b: Point; mm: number };
  /** A scale by a round thing that lies on the sheet. */
  round?: { at: Point; diameter_mm: number };
}

/** What can be said of a photo's file at once. */
export interface Taken {
  sha256: string;
  media: "image/jpeg" | "image/png";
  bytes: number;
  width: number;
  height: number;
}

/** What is begun, in this order. */
export type MeasureStep = "decode" | "card" | "outlines" | "edges";

// The live view ---------------------------------------------------------------------------------

export type Advice =
  "no-card" | "cut-off" | "far" | "near" | "tilted" | "dark" | "shaking" | "ready";

export interface Frame {
  w: number;
  h: number;
  still: number;
  at_ms: number;
}

/** What one frame shows; places in pixels of the frame. */
export interface Sight {
  advice: Advice;
  refusal?: Refusal;
  layout?: string;
  outline: Point[];
  rings: { at: Point; seen: boolean }[];
  seen: number;
  px_per_mm: number;
  distance_mm: number;
  nearer_mm: number;
  tilt_deg: number;
  /** Toward the card's near side: the phone must be raised there. */
  nearer: Point;
  paper_luma: number;
  mm_per_s: number;
}

// The record ------------------------------------------------------------------------------------

export interface DeviceData {
  name: string;
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
  printed_at?: string;
  layouts_revision?: string;
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
}
export interface LayoutData {
  photo?: string;
  width_px?: number;
  height_px?: number;
  width_mm?: number;
  height_mm?: number;
  step_mm?: number;
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
}
export interface StageData {
  stage: Stage;
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
export interface GaugeData {
  finding?: string;
  spec: Spec;
  instrument: string;
  readings: Reading[];
  result: Result;
  photos?: string[];
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

/** The data of each kind of entry. */
export interface DataOf {
  device: DeviceData;
  project: ProjectData;
  settings: SettingsData;
  card: CardData;
  part: PartData;
  layout: LayoutData;
  limits: LimitsData;
  "laxer-limit": LaxerData;
  location: LocationData;
  stage: StageData;
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

/** What the writer decides of a new entry. A text "@0" anywhere in it stands for the id of the first entry made in the same call, "@1" for the second. */
export type Draft = {
  [K in EntryKind]: {
    kind: K;
    project?: string;
    part?: string;
    location?: string;
    supersedes?: string[];
    why?: string;
    data: DataOf[K];
  };
}[EntryKind];

interface Head {
  format: number;
  id: string;
  device: string;
  seq: number;
  prev?: string;
  at: string;
  by: string;
  role: Role;
  project?: string;
  part?: string;
  location?: string;
  supersedes?: string[];
  why?: string;
}
/** An entry of a kind that this version knows. */
export type KnownEntry = { [K in EntryKind]: Head & { kind: K; data: DataOf[K] } }[EntryKind];
/** An entry: newer versions may write kinds that are not known here. Test `kind` before `data`. */
export type Entry = KnownEntry;

/** An entry for keeping: canonical bytes as text, and what it is found by. */
export interface EntryOut {
  id: string;
  hash: string;
  raw: string;
  device: string;
  seq: number;
  kind: string;
  part: string;
  photos: string[];
  is_new: boolean;
  unknowns: number;
}

export interface Remark {
  entry: string;
  text: string;
}
export interface Fault {
  kind: "gap" | "fork" | "broken" | "same-id";
  device: string;
  seq: number;
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
}
export interface SignOffStatus {
  since?: string[];
  missing?: string[];
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
  closed?: boolean;
  sign_offs?: SignOff[];
  notes?: string[];
  remarks?: Remark[];
  entries: number;
  last_id: string;
}
export interface Counts {
  locations: number;
  stages?: Partial<Record<Stage, number>>;
  verdicts?: Partial<Record<Verdict, number>>;
  work?: Partial<Record<WorkKind, number>>;
  awaits?: number;
  confirmed?: number;
}
export interface Attempt {
  n: number;
  set?: string;
  ended?: string;
  findings?: string[];
  verdict?: Verdict;
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
  stage: Stage;
  attempt: number;
  attempts: Attempt[];
  verdict?: Verdict;
  finding?: string;
  decision?: Disposition;
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
}

export interface PartView {
  project: Project;
  part: Part;
  counts: Counts;
  spec: Spec | null;
  places: { location: Location; spec: Spec | null }[];
}
export interface LocationView {
  project: Project;
  part: Part;
  location: Location;
  spec: Spec | null;
  /** Readings of its hole from before the rivet was set. */
  hole: Reading[];
  /** All about it, oldest first, superseded ones too. */
  entries: Entry[];
}

export interface ShowIn {
  units: Units;
  fractions?: boolean;
  mm: number;
  u_mm?: number;
}
export interface Shown {
  number: string;
  value: string;
  with_u: string;
  fraction: string;
}

// Calls -----------------------------------------------------------------------------------------

/** What the Go side may be asked: question and answer of each call. */
export interface Calls {
  take: [Record<string, never>, Taken];
  measure: [MeasureOptions, Document];
  /** Of the photo that was measured last; refuses with "not-at-hand" where it was another one. */
  "measure.kept": [MeasureOptions & { sha256: string }, Document];
  places: [Document, (Places | null)[]];
  strip: [Record<string, never>, Record<string, never>];
  guide: [Frame, Sight];
  "guide.reset": [Record<string, never>, Record<string, never>];
  judge: [{ spec: Spec; readings: Reading[]; hole?: Reading[]; answers?: Answer[] }, Judged];
  rework: [{ spec: Spec; readings: Reading[]; hole?: Reading[]; answers?: Answer[] }, Rework];
  limits: [
    Spec,
    {
      limits: Limit[] | null;
      expected: { diameter_mm: number; height_mm: number; in_table: boolean };
    },
  ];
  size: [{ text: string; kind?: Kind; rivet?: "solid" | "pulled"; hole?: Stage }, Size];
  own: [{ json: string }, OwnLimits];
  handbook: [Record<string, never>, Handbook];
  show: [ShowIn[], Shown[]];
  "record.load": [{ raw: string; hash: string }[], { damaged: string[] }];
  "record.read": [unknown[], { entry?: EntryOut; refusal?: Refusal }[]];
  "record.make": [
    {
      device: string;
      by: string;
      role: Role;
      seq: number;
      prev: string;
      clock_ms: number;
      drafts: Draft[];
    },
    EntryOut[],
  ];
  "record.chain": [{ id: string }, { seq: number; hash: string }];
  "record.faults": [Record<string, never>, Fault[]];
  "state.projects": [Record<string, never>, Project[]];
  "state.parts": [{ id: string }, { part: Part; counts: Counts }[]];
  "state.part": [{ id: string }, PartView];
  "state.location": [{ id: string }, LocationView];
  "state.history": [{ of: "location" | "part" | "project" | "device"; id: string }, Entry[]];
  "state.concerning": [{ id: string }, Entry[]];
  "state.work": [Record<string, never>, WorkItem[]];
  "state.covers": [{ id: string }, { covers: string[]; digest: string }];
  "state.sign-offs": [{ id: string }, Record<string, SignOffStatus>];
}
export type CallName = keyof Calls;
export type Ask<K extends CallName> = Calls[K][0];
export type Told<K extends CallName> = Calls[K][1];
