// The work in hand on one photo: what it shows, where each fastener belongs, what was seen. Kept
// with the draft, so that it outlives the tab.
import type {
  Answer,
  CardData,
  Document,
  Kind,
  Location,
  Mark,
  MeasureOptions,
  PartView,
  PhotoLocation,
  Placed as PlacedOn,
  PlacingIn,
  Point,
  Project,
  Reading,
  Spec,
} from "../../bridge/types";
import type { DraftRow } from "../../data/db";
import { w } from "../../words";
import { memory } from "../prefs";
import { identity } from "../role";

export type What = Kind | "pilot" | "mark";

export interface Placed {
  /** Where it is on the photo, to know it again after measuring anew. */
  at: Point;
  /** Location's id, "new", or "none" to leave it out; undefined: not said. */
  loc?: string;
  /** Of a new one. */
  tag?: string;
  answers?: Answer[];
  /** Room for the tools beside the standing leg, by this line of the photo. */
  room?: Room;
}
export interface Room {
  /** What the photo read to that line, to know that it still does. */
  lineMM: number;
  axis: Reading;
  note: string;
}
export interface Hand {
  what: What;
  /** Locations chosen before the photo. */
  wanted?: string[];
  placed: Placed[];
  card?: string;
  marks?: Mark[];
}

export const handOf = (d: DraftRow, what: What): Hand =>
  (d.hand as Hand | undefined) ?? { what, placed: [] };

/** What is meant to be on the photo, from what is meant to stand there in the end. */
export function specFor(base: Spec, what: What): Spec {
  const { pilot: _, mark: _m, ...s } = base;
  if (what !== "hole" && what !== "pilot" && what !== "mark")
    return { ...s, kind: what, ...(what === "pulled-head" ? { rivet: "pulled" as const } : {}) };
  return {
    ...s,
    kind: "hole",
    rivet: base.rivet ?? (base.kind === "pulled-head" ? "pulled" : "solid"),
    ...(base.kind === "flush-head" && { flush: true }),
    ...(what === "pilot" && { pilot: true }),
    ...(what === "mark" && { mark: true }),
  };
}

export const whatOf = (s: Spec): What =>
  s.kind !== "hole" ? s.kind : s.mark ? "mark" : s.pilot ? "pilot" : s.kind;

/** What is looked at, in words. */
export const whatWords = (x: What): string =>
  x === "pilot" ? w.snapScreen.pilot : x === "mark" ? w.snapScreen.mark : w.kind[x];

/** What may be looked at where this fastener goes. */
export const choices = (base: Spec): What[] =>
  base.kind === "hole"
    ? ["hole", "pilot", "mark"]
    : [
        base.kind,
        ...(base.kind === "shop-head" ? (["universal-head"] as const) : []),
        "hole",
        "pilot",
        "mark",
      ];

/**
 * A calibration as measuring takes it: the one that a photo was taken with, however many were made
 * since, for the card on it is that sheet's; else the one in use.
 */
export function calibration(
  p: Project | undefined,
  taken?: string,
): { id: string; data: CardData } | undefined {
  const c =
    p?.cards?.find((x) => x.id === taken) ??
    p?.cards?.find((x) => x.id === memory.value?.card) ??
    p?.cards?.at(-1);
  if (!c) return undefined;
  const { id, at: _, ...data } = c;
  return { id, data };
}

export function optionsFor(
  v: PartView,
  what: What,
  old?: MeasureOptions,
  card?: string,
): MeasureOptions | undefined {
  if (!v.spec) return undefined;
  const cal = calibration(v.project, card);
  const sheet = v.part.layers?.[0]?.thickness_mm;
  const {
    spec: _s,
    calibration: _c,
    sheet_mm: _m,
    proofs: _p,
    ...marks
  } = old ?? ({} as MeasureOptions);
  return {
    ...marks,
    spec: specFor(v.spec, what),
    ...(cal && { calibration: cal.data }),
    ...(v.project.proofs && { proofs: v.project.proofs }),
    ...(identity.value && { device: identity.value.device }),
    ...(sheet && { sheet_mm: sheet }),
  };
}

const apart = (a: Point, b: Point): number => Math.hypot(a[0] - b[0], a[1] - b[1]);

/** What the hand said of the fastener at this place. */
export function placedAt(h: Hand, l: PhotoLocation): Placed | undefined {
  const r = Math.max(30, l.outline_px?.[0] ? apart(l.outline_px[0], l.centre_px) : 0);
  return h.placed.find((p) => apart(p.at, l.centre_px) < r);
}

/** The room for the tools that is kept with a fastener, as long as its photo still reads that line. */
export function roomAt(h: Hand, l: PhotoLocation): Room | undefined {
  const r = placedAt(h, l)?.room;
  return r && l.readings.some((x) => x.quantity === "edge_distance" && x.value_mm === r.lineMM)
    ? r
    : undefined;
}

export function place(h: Hand, l: PhotoLocation, change: Partial<Placed>): Hand {
  const old = placedAt(h, l);
  return {
    ...h,
    placed: [...h.placed.filter((p) => p !== old), { ...old, at: l.centre_px, ...change }],
  };
}

/** Readings as the record keeps them, without the places on the photo. */
export function plain(rs: PhotoLocation["readings"]): Reading[] {
  return rs.map(({ edge_px: _e, to_px: _p, to: _t, per_mm_up: _u, alone_U_mm: _a, ...r }) => r);
}

export interface Assigned {
  /** A location's id, "new", "none", or "" where it is not known yet. */
  loc: string;
  location?: Location | undefined;
  tag: string;
}

/** What is asked of a photo to know which locations it shows. */
export const placingOf = (
  doc: Document,
  h: Hand,
  part: string,
  wanted: string[] | undefined,
): PlacingIn => ({
  part,
  fasteners: doc.locations.map((l) => {
    const said = placedAt(h, l);
    return {
      sheet_mm: l.sheet_mm,
      readings: plain(l.readings),
      what: l.what,
      edges: l.readings.flatMap((r) => (r.edge_px ? [{ px: r.edge_px, U_mm: r.U_mm }] : [])),
      ...(l.ask && { asked: true }),
      ...(said?.loc && { said: said.loc }),
      ...(said?.tag && { tag: said.tag }),
    };
  }),
  ...(wanted?.length && { wanted }),
  ...(doc.scale && { camera: doc.scale.camera }),
});

/** Names for those that are not known yet, so that they can be told apart: A?, B? */
export const assigned = (p: PlacedOn, v: PartView): Assigned[] => {
  return p.is.map((x, i) => ({
    loc: x.loc,
    location: v.places.find((q) => q.location.id === x.loc)?.location,
    tag: x.loc === "" ? `${String.fromCharCode(65 + (i % 26))}?` : x.tag,
  }));
};

/** All of them as they are named now, so that no later look at the photo names them otherwise. */
export const named = (h: Hand, doc: Document, is: Assigned[]): Hand =>
  doc.locations.reduce(
    (a, l, i) =>
      is[i]?.loc && !(l.ask && is[i].loc === "none")
        ? place(a, l, { loc: is[i].loc, ...(is[i].loc === "new" && { tag: is[i].tag }) })
        : a,
    h,
  );
