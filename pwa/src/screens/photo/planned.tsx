// What is drawn over a photo is planned on the Go side, anew for each view. The old drawing stays,
// moved along with the photo, until the new one is there.
import { useEffect, useMemo, useRef, useState } from "preact/hooks";
import { Refused } from "../../bridge/client";
import type {
  Ask,
  Document,
  Drawing,
  DrawFrame,
  DrawLook,
  DrawScene,
  Point,
  Sides,
  Told,
} from "../../bridge/types";
import { book } from "../../data/book";
import { fractions, look, units } from "../prefs";
import { Ink } from "./ink";
import { moved, type View } from "./view";

/** What there is to draw on one photo; `of` names it to the Go side. */
export interface Scene {
  of: string;
  told: DrawScene;
}
type What = Pick<DrawScene, "tags"> & ({ document: Document } | { looks: DrawLook[] });

let count = 0;

/** A scene that stays the same as long as its key does, units and theme. */
export function useScene(what: () => What, key: unknown[]): Scene {
  const outdoor = look.value.theme === "outdoor",
    un = units.value,
    parts = fractions.value;
  return useMemo(() => {
    const w = what();
    const told = {
      ...w,
      units: un,
      fractions: parts,
      text_size: outdoor ? 17 : 15,
      heavier: outdoor ? 0.8 : 0,
      widths: widths(w.tags.join("")),
    };
    return { of: `${++count}`, told };
  }, [...key, un, parts, outdoor]);
}

let pen: CanvasRenderingContext2D | null | undefined;
/** How wide characters are in the face that values stand in, in units of its size. */
function widths(more: string): Record<string, number> {
  pen ??= document.createElement("canvas").getContext("2d");
  if (!pen) return {};
  pen.font = `700 100px ${getComputedStyle(document.body).fontFamily}`;
  const out: Record<string, number> = {};
  for (const c of ` 0123456789.,/+−±Ø?maxin${more}`) out[c] = pen.measureText(c).width / 100;
  // Figures are set in one width.
  const figure = Math.max(...[..."0123456789"].map((c) => out[c]!));
  for (const c of "0123456789") out[c] = figure;
  return out;
}

let sent: string | undefined;
/** Asks about a scene, which is sent along where another was drawn since. */
async function ask<K extends "drawing" | "drawing.frame">(
  name: K,
  s: Scene,
  q: Omit<Ask<K>, "of" | "scene">,
): Promise<Told<K>> {
  const told = (whole: boolean): Promise<Told<K>> => {
    sent = s.of;
    return book.call(name, { ...q, of: s.of, ...(whole && { scene: s.told }) } as Ask<K>);
  };
  if (sent !== s.of) return told(true);
  try {
    return await told(false);
  } catch (e) {
    if (e instanceof Refused && e.refusal.code === "not-at-hand") return told(true); // a new worker
    throw e;
  }
}

/** The latest answer of a call that is made anew when its key changes, one at a time, the latest only. */
function useLatest<T>(key: string, call: () => Promise<T>): T | undefined {
  const [got, set] = useState<T>();
  const now = useRef({ key, call, busy: false, gone: false });
  now.current.key = key;
  now.current.call = call;
  useEffect(() => {
    const n = now.current;
    const run = async (): Promise<void> => {
      if (n.busy) return;
      n.busy = true;
      for (let done: string | undefined; done !== n.key && !n.gone;) {
        done = n.key;
        try {
          const v = await n.call();
          if (!n.gone) set(() => v);
        } catch {
          // No drawing, or the old one: the photo and the list beside it are there. The next change tries again.
        }
      }
      n.busy = false;
    };
    void run();
  }, [key]);
  useEffect(() => () => void (now.current.gone = true), []);
  return got;
}

interface Size {
  w: number;
  h: number;
}

/**
 * The part of the photo that shows a scene in a frame of this size, the whole photo where that can't
 * be told; undefined until it is known.
 */
export function useFrame(
  s: Scene,
  chosen: number | undefined,
  size: Size,
  photo: Size,
): DrawFrame | undefined {
  return useLatest(`${s.of} ${chosen} ${size.w} ${size.h}`, async () =>
    size.w
      ? ask("drawing.frame", s, { chosen: (chosen ?? -1) + 1, size: [size.w, size.h] }).catch(
          () => ({ x: 0, y: 0, ...photo }),
        )
      : undefined,
  );
}

export interface Shown {
  drawing: Drawing;
  view: View;
  /** Names that were drawn, and the frame that they were placed in. */
  tags: string[];
  size: Size;
}

/** A scene's drawing in a view. */
export function Planned(p: {
  scene: Scene;
  chosen: number | undefined;
  view: View;
  size: Size;
  /** Undefined until it is known: nothing new is planned then. */
  covered: [number, number, number, number][] | undefined;
  /** Told what is shown, for what a finger means. */
  shown?: (s: Shown) => void;
}) {
  const { view: v, size } = p;
  const { covered, scene, chosen } = p,
    plan = useRef({ key: "", call: async (): Promise<Shown | undefined> => undefined });
  if (covered)
    plan.current = {
      key: [scene.of, chosen, v.s, v.x, v.y, size.w, size.h, covered].join(" "),
      call: async () => ({
        drawing: await ask("drawing", scene, {
          chosen: (chosen ?? -1) + 1,
          size: [size.w, size.h],
          view: v,
          covered,
        }),
        view: v,
        tags: scene.told.tags,
        size,
      }),
    };
  const got = useLatest(plan.current.key, plan.current.call);
  useEffect(() => {
    if (got) p.shown?.(got);
  }, [got]);
  // A name that was given up stands nowhere any more, not even until the new drawing is there.
  const old = got?.tags.join() !== p.scene.told.tags.join();
  const ink = useMemo(
    () => got && <Ink d={old ? { ...got.drawing, tags: [] } : got.drawing} />,
    [got, old],
  );
  // In a frame of another size what lies over it would cover the old values.
  return got?.size.w === size.w && got.size.h === size.h ? (
    <g transform={moved(got.view, v)}>{ink}</g>
  ) : null;
}

/**
 * The outline that a hand places by its sides, as the photo shows it. Moved along with them until the
 * next is known.
 */
export function useRing(doc: Document, sides: Sides | undefined): Point[] {
  const { kind: what, nominal_mm } = doc.spec,
    camera = doc.scale?.camera;
  const got = useLatest(`${sides} ${camera?.t}`, async () =>
    camera && sides
      ? { sides, points: await book.call("drawing.ring", { camera, what, nominal_mm, sides }) }
      : undefined,
  );
  if (!got || !sides) return [];
  const u = between(got.sides[2][0], got.sides[0][0], sides[2][0], sides[0][0]),
    v = between(got.sides[3][1], got.sides[1][1], sides[3][1], sides[1][1]);
  return got.points.map((p) => [u(p[0]), v(p[1])]);
}

/** Takes what lies between a and b to where it lies between two others. */
const between =
  (a: number, b: number, to: number, other: number) =>
  (x: number): number =>
    to + ((x - a) / (b - a || 1)) * (other - to);
