// What the Go side may be asked.
import type { CirclesSeen } from "./study";
import type { Document, Joined, Places } from "./document";
import type { Drawing, DrawingBox, DrawFrame, DrawView, InScene, RingIn } from "./drawing";
import type { Draft, Entry, EntryOut, Fault } from "./entries";
import type { Identity } from "./entrydata";
import type { Size, Handbook } from "./handbook";
import type { Reading, KnownLimit, OwnLimits, Spec, Answer, Judged, Hand, Came } from "./judging";
import type { MeasureOptions, Taken } from "./measuring";
import type { Placed, PlacingIn, Tight, TightIn } from "./placing";
import type { DecisionAdvice, Rework } from "./rework";
import type { ShowIn, Shown } from "./show";
import type {
  Project,
  SignOffStatus,
  Part,
  Counts,
  WorkItem,
  PartView,
  LocationView,
} from "./state";
import type { Frame, Sight } from "./view";
import type { Kind, Point, Role, Refusal, Stage, Units } from "./vocabulary";

/** What the Go side may be asked: question and answer of each call. */
export interface Calls {
  take: [Record<string, never>, Taken];
  measure: [MeasureOptions, Document];
  /** Of the photo that was measured last; refuses with "not-at-hand" where it was another one. */
  "measure.kept": [MeasureOptions & { sha256: string }, Document];
  /** The first may have marks; refuses with "not-at-hand" where one was not measured so. */
  together: [(MeasureOptions & { sha256: string })[], Joined];
  /** The printed circles beside the card, for a gauge study. */
  circles: [Pick<MeasureOptions, "calibration">, CirclesSeen];
  places: [Document, (Places | null)[]];
  /** Both refuse with "not-at-hand" where another scene was drawn last. */
  drawing: [InScene & { view: DrawView; covered: DrawingBox[] }, Drawing];
  "drawing.frame": [InScene, DrawFrame];
  "drawing.ring": [RingIn, Point[]];
  strip: [Record<string, never>, Record<string, never>];
  guide: [Frame, Sight];
  "guide.reset": [Record<string, never>, Record<string, never>];
  judge: [
    {
      spec: Spec;
      readings: Reading[];
      location?: string;
      /** The other locations that the photo shows. */
      beside?: string[];
      answers?: Answer[];
    },
    Judged,
  ];
  hand: [{ location: string; readings: Reading[] }, Hand];
  /** With lengths in the units that are read. */
  rework: [{ id: string; units: Units }, Rework];
  advice: [{ id: string; units: Units }, DecisionAdvice];
  /** Which locations of a part a photo shows, or what must be asked. */
  placing: [PlacingIn, Placed];
  /** Locations that a next photo is expected to show. */
  "placing.next": [{ part: string; saved: string[] }, string[]];
  /** What is to be written so that a part has its pins from its photos. */
  lay: [{ id: string }, Draft[]];
  like: [{ part: string; name: string; drawing: string; mirrored: boolean }, Draft[]];
  /** Where the layout has no scale, nothing can be said. */
  tight: [TightIn, { tight: Tight[]; scaled: boolean }];
  /** What is to be written so that a finding stands where it belongs. */
  move: [{ finding: string; to: string }, Draft[]];
  limits: [
    Spec,
    {
      limits: KnownLimit[];
      expected: { diameter_mm: number; height_mm: number; in_table: boolean };
    },
  ];
  size: [{ text: string; kind?: Kind; rivet?: "solid" | "pulled"; hole?: Stage }, Size];
  own: [{ json: string }, OwnLimits];
  /** Whether a printed sheet can measure; refuses in words. Scales are true over drawn size. */
  "check-lines": [
    {
      across_mm: number;
      along_mm: number;
      u_mm: number;
      thickness_mm: number;
      thickness_u_mm: number;
    },
    { across: number; along: number },
  ];
  handbook: [Record<string, never>, Handbook];
  show: [ShowIn[], Shown[]];
  "record.load": [{ raw: string; hash: string }[], { damaged: string[] }];
  "record.read": [unknown[], { entry?: EntryOut; refusal?: Refusal }[]];
  /** What is strange about times that are about to be entered. */
  dates: [
    {
      project: string;
      clock_ms: number;
      taken?: string;
      page?: string;
      photo?: string;
      locations?: string[];
      calibrated?: string;
      due?: string;
    },
    string[],
  ];
  /** What a project was measured with, the latest used first. */
  instruments: [{ id: string }, ({ name: string } & Identity)[]];
  "record.make": [
    {
      device: string;
      by: string;
      role: Role;
      seq: number;
      prev: string;
      clock_ms: number;
      /** Ids of entries made just before, for "@0" and for the order. */
      ids?: string[];
      drafts: Draft[];
    },
    EntryOut[],
  ];
  /** An entry that was made, with its signature. */
  "record.signed": [{ raw: string; sig: string }, EntryOut];
  "record.chain": [{ id: string }, { seq: number; hash: string }];
  "record.faults": [Record<string, never>, Fault[]];
  "state.projects": [Record<string, never>, Project[]];
  "state.parts": [{ id: string }, { part: Part; counts: Counts }[]];
  "state.part": [{ id: string }, PartView];
  "state.location": [{ id: string }, LocationView];
  "state.history": [{ of: "location" | "part" | "project" | "device"; id: string }, Entry[]];
  /** Of a part's findings and hand readings, by entry. */
  "state.came": [{ id: string }, Record<string, Came>];
  "state.concerning": [{ id: string }, Entry[]];
  "state.work": [Record<string, never>, WorkItem[]];
  /** What is not settled on a part, the most serious first; no tags: the part as a whole. */
  "state.open": [{ id: string }, { what: string; tags: string[]; do?: string }[]];
  "state.covers": [{ id: string }, { covers: string[]; digest: string }];
  "state.sign-offs": [{ id: string }, Record<string, SignOffStatus>];
}
export type CallName = keyof Calls;
export type Ask<K extends CallName> = Calls[K][0];
export type Told<K extends CallName> = Calls[K][1];
