// A correction in hand: the tool, its handles, what they change, and the way back.
import { useEffect, useRef, useState } from "preact/hooks";
import type { MeasureOptions, PhotoLocation, Point } from "../../bridge/types";
import { w } from "../../words";
import { usePicture } from "../hooks";
import { say } from "../kit/say";
import {
  inHand,
  unmarked,
  withHandles,
  without,
  withScale,
  withTap,
  tappedAgain,
} from "./corrections";
import {
  dist,
  firstHandles,
  middle,
  placedOutlines,
  sidesOf,
  sideways,
  upright,
  type Handle,
  type Tool,
} from "./handles";
import { useRing } from "./planned";
import { marksOf } from "./save";
import type { InWork } from "./usework";

/** How far one press of an arrow moves a handle. */
export const STEP_MM = 0.02;

export function useCorrection(k: InWork, at: number | undefined) {
  const doc = k.doc!;
  const refused = doc.locations.length === 0;
  const mark = doc.spec.mark ?? false;
  const [tool, setTool] = useState<Tool>(
    refused ? (doc.scale ? "add" : "scale") : mark ? "centre" : "outline",
  );
  // Measured anew, the fasteners may come in another order: the one in hand is known by its place.
  const [place, setPlace] = useState<Point | undefined>(
    () => (doc.locations[at ?? -1] ?? doc.locations.find((l) => !l.ask))?.centre_px,
  );
  const away = (n: number): number => (place ? dist(doc.locations[n]!.centre_px, place) : n);
  const i = doc.locations.reduce((a, _, n) => (away(n) < away(a) ? n : a), 0);
  const setI = (n: number): void => setPlace(doc.locations[n]?.centre_px);
  const [hs, setHs] = useState<Handle[]>([]);
  const [hold, setHold] = useState<number>(0);
  const [held, setHeld] = useState(false);
  // What is read at handles that were moved and are not measured for good yet.
  const [live, setLive] = useState<PhotoLocation>();
  const [off, setOff] = useState(false); // they were moved since
  const moved = useRef(0);
  const [past, setPast] = useState<MeasureOptions[]>([]);
  const [len_, setLen] = useState("");
  const [scaleBy, setScaleBy] = useState<"two" | "round">("two");
  const url = usePicture(k.draft?.photo, "original");
  const timer = useRef<ReturnType<typeof setTimeout> | undefined>(undefined);
  const first = useRef(doc);
  const l = doc.locations[i];
  const photo = { w: doc.width || 1000, h: doc.height || 750 };
  const [natural, setNatural] = useState(photo);
  useEffect(() => {
    if (!url || doc.width) return;
    const img = new Image();
    img.onload = () => setNatural({ w: img.naturalWidth, h: img.naturalHeight });
    img.src = url;
  }, [url]);
  const size = doc.width ? photo : natural;
  const pxPerMM = doc.scale ? 1 / doc.scale.mm_per_px : size.w / 120;
  const options = k.draft?.options;
  // At rest what was measured; on the move what the handles say.
  const moving = useRing(doc, off ? sidesOf(hs) : undefined),
    ring = off && moving.length > 0 ? moving : (l?.outline_px ?? []);

  const start = (t: Tool = tool, n = i): void => {
    const x = doc.locations[n];
    const first = firstHandles(t, x, {
      size,
      pxPerMM,
      by: scaleBy,
      outlines: placedOutlines(options),
      edges: options?.edges ?? [],
    });
    setHold((h) =>
      t === "centre" ? first.findIndex((y) => y.name === "centre") : first[h] ? h : 0,
    );
    setHs(first);
    setOff(false);
  };
  useEffect(() => start(), [tool, i, size.w, scaleBy]);
  useEffect(() => {
    setLive(undefined);
    if (doc.locations.length > 0) start(tool, i);
  }, [doc]);

  const run = (o: MeasureOptions): void => {
    settle();
    if (options) setPast((p) => [...p, options]);
    k.setHand({ ...k.hand, marks: marksOf(o) });
    void k.measure({ options: o });
  };
  /** What was to be measured later, or is on its way from a handle on the move, no longer counts. */
  const settle = (): void => {
    clearTimeout(timer.current);
    timer.current = undefined;
    moved.current++;
  };
  const marked = (h: Handle[]): MeasureOptions | undefined =>
    options && l && withHandles(options, tool, h, l, pxPerMM);
  const commit = (h: Handle[]): void => {
    const o = marked(h);
    if (o) run(o);
  };
  /** The reading runs along with the handle: this one alone is measured, as often as there is time. */
  const along = (h: Handle[]): void => {
    const o = marked(h);
    if (!o || !l) return;
    const at = moved.current,
      sides = sidesOf(h),
      c = sides ? middle(sides) : l.centre_px,
      near = (p: Point): boolean => dist(p, c) < l.radius_mm * pxPerMM;
    const outlines = placedOutlines(o).filter((x) => near(middle(x.sides)));
    void k
      .follow({ ...o, only: true, outlines, taps: outlines.length > 0 ? [] : [l.centre_px] })
      .then((d) => {
        const x = d?.locations.find((y) => near(y.centre_px));
        if (at === moved.current && x && !x.ask) setLive(x);
      });
  };
  const later = (h: Handle[]): void => {
    clearTimeout(timer.current);
    timer.current = setTimeout(() => {
      timer.current = undefined;
      commit(h);
    }, 450);
  };
  const move = (n: number, dx: number, dy: number, pause: boolean): void => {
    const { name } = hs[n]!,
      by: Point = [upright(name) ? 0 : dx, sideways(name) ? 0 : dy];
    if (!by[0] && !by[1]) return;
    // With the middle goes the whole outline.
    const next = hs.map((h, j) =>
      j === n || name === "centre" ? { ...h, at: [h.at[0] + by[0], h.at[1] + by[1]] as Point } : h,
    );
    setHs(next);
    setOff(true);
    along(next);
    if (pause) later(next);
  };
  const nudge = (dx: number, dy: number, times = 1): void => {
    const px = STEP_MM * pxPerMM * times;
    if (hs[hold]) move(hold, dx * px, dy * px, true);
  };
  const addHere = (p: Point): void => {
    if (!options) return;
    run(withTap(options, p));
    setPlace(p);
    if (mark) setTool("centre");
    say(w.correct.added);
  };
  const tapAgain = (p: Point): void => {
    if (!options || !l) return;
    run(tappedAgain(options, l, p, pxPerMM));
    setPlace(p);
  };
  const removeAt = (n: number): void => {
    if (!doc.locations[n] || !options) return;
    run(without(options, doc.locations, n, pxPerMM));
    say(w.correct.removed(k.assigned[n]?.tag ?? ""));
  };
  const scale = (): void => {
    const mm = Number(len_.replace(",", "."));
    if (!(mm > 0) || !options) return say(w.correct.noScale);
    run(withScale(options, scaleBy, hs, mm));
  };
  const undo = (): void => {
    const waits = timer.current !== undefined;
    settle();
    setLive(undefined);
    if (waits) return start(); // moved by arrows and not measured yet: back to where they were
    const o = past.at(-1);
    if (!o) return say(w.correct.nothingToUndo);
    setPast(past.slice(0, -1));
    void k.measure({ options: o });
  };
  const finish = (): void => {
    if (timer.current !== undefined) {
      settle();
      commit(hs);
    }
  };
  const fresh = (): void => {
    if (!options) return;
    run(unmarked(options));
  };
  const before =
    l &&
    first.current.locations.find((x) => dist(x.centre_px, l.centre_px) < pxPerMM * l.radius_mm);
  const at_ = live ?? l,
    now = at_ && inHand(tool, at_.readings, hs),
    marked_ =
      !!l &&
      placedOutlines(options).some(
        (o) => dist(middle(o.sides), l.centre_px) < pxPerMM * l.radius_mm,
      );
  const old = before && inHand(tool, before.readings, hs);
  return {
    url,
    size,
    ring,
    pxPerMM,
    tool,
    setTool,
    i,
    setI,
    l,
    hs,
    setHs,
    hold,
    setHold,
    held,
    setHeld,
    scaleBy,
    setScaleBy,
    len: len_,
    setLen,
    now,
    old,
    off,
    /** What the reading stands on: what was measured, or where the hand's marks led. */
    from: at_?.hand ?? (marked_ && !off ? ("measured" as const) : undefined),
    byHand: !!at_?.by_hand,
    past,
    waits: timer.current !== undefined,
    move,
    nudge,
    commit,
    addHere,
    tapAgain,
    removeAt,
    scale,
    undo,
    finish,
    fresh,
  };
}

export type Correction = ReturnType<typeof useCorrection>;
