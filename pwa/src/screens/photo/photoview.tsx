// A photo that is panned and zoomed by finger, wheel or keys, with ink over it that keeps its width.
import type { ComponentChildren } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import type { Point } from "../../bridge/types";
import { useSize } from "../hooks";
import { toPhoto, type View } from "./view";

export interface Frame {
  x: number;
  y: number;
  w: number;
  h: number;
}

export function fitView(f: Frame, size: { w: number; h: number }): View {
  const s = Math.min(size.w / f.w, size.h / f.h) || 1;
  return { s, x: size.w / 2 - (f.x + f.w / 2) * s, y: size.h / 2 - (f.y + f.h / 2) * s };
}

interface Props {
  url: string | undefined;
  /** A sharper piece of it, laid over. */
  sharp?: (Frame & { url: string }) | undefined;
  /** Upright pixels of the photo. */
  photo: { w: number; h: number };
  /** What to show; changes move there. Undefined: not known yet. */
  frame: Frame | undefined;
  /** Told the size of the place that the photo has. */
  sized?: (size: { w: number; h: number }) => void;
  zoom?: number;
  class?: string;
  label: string;
  /** What is drawn over it; covered are the boxes of what lies over the photo besides, once known for this size. */
  ink: (
    view: View,
    size: { w: number; h: number },
    covered: Covered | undefined,
  ) => ComponentChildren;
  over?: (
    view: View,
    size: { w: number; h: number },
    img: HTMLImageElement | null,
  ) => ComponentChildren;
  /** A place was tapped. */
  tap?: (p: Point) => void;
  /** A press begins; true takes the finger for a handle, further calls tell where it is. */
  grab?: (p: Point, view: View) => boolean;
  drag?: (p: Point, by: Point) => void;
  drop?: () => void;
}

type Covered = [number, number, number, number][];

const still = matchMedia("(prefers-reduced-motion: reduce)");

export function PhotoView(p: Props) {
  const [ref, size] = useSize<HTMLDivElement>();
  const [view, setView] = useState<View>({ s: 0, x: 0, y: 0 });
  const img = useRef<HTMLImageElement>(null);
  const fingers = useRef(new Map<number, Point>());
  const begun = useRef<{ at: Point; moved: boolean; grabbed: boolean } | undefined>(undefined);
  const anim = useRef(0);
  const whole = p.frame;
  const frameKey = `${whole?.x} ${whole?.y} ${whole?.w} ${whole?.h} ${p.zoom ?? 1} ${size.w} ${size.h}`;
  const [covered, setCovered] = useState<{ of: typeof size; boxes: Covered }>();
  useEffect(() => {
    if (size.w) p.sized?.(size);
    const at = ref.current?.getBoundingClientRect();
    if (!at || view.s === 0) return; // nothing lies over it yet
    setCovered({
      of: size,
      boxes: [...ref.current!.querySelectorAll("button")].map((b) => {
        const r = b.getBoundingClientRect();
        return [r.left - at.left, r.top - at.top, r.right - at.left, r.bottom - at.top];
      }),
    });
  }, [size.w, size.h, view.s > 0]);
  useEffect(() => {
    if (!size.w || !whole) return;
    const z = p.zoom ?? 1;
    const f =
      z === 1
        ? whole
        : {
            x: whole.x + (whole.w * (1 - 1 / z)) / 2,
            y: whole.y + (whole.h * (1 - 1 / z)) / 2,
            w: whole.w / z,
            h: whole.h / z,
          };
    const to = fitView(f, size),
      from = view,
      t0 = performance.now();
    cancelAnimationFrame(anim.current);
    if (from.s === 0 || still.matches) return setView(to);
    const step = (now: number): void => {
      const t = Math.min(1, (now - t0) / 160),
        k = 1 - (1 - t) ** 3;
      setView({
        s: from.s + (to.s - from.s) * k,
        x: from.x + (to.x - from.x) * k,
        y: from.y + (to.y - from.y) * k,
      });
      if (t < 1) anim.current = requestAnimationFrame(step);
    };
    anim.current = requestAnimationFrame(step);
    return () => cancelAnimationFrame(anim.current);
  }, [frameKey]);
  const local = (e: PointerEvent | WheelEvent): Point => {
    const r = ref.current!.getBoundingClientRect();
    return [e.clientX - r.left, e.clientY - r.top];
  };
  const zoomAt = (c: Point, k: number): void =>
    setView((v) => {
      const s = Math.min(20, Math.max(0.02, v.s * k)),
        f = s / v.s;
      return { s, x: c[0] - (c[0] - v.x) * f, y: c[1] - (c[1] - v.y) * f };
    });
  return (
    <div
      class={`photo ${p.class ?? ""}`}
      ref={ref as never}
      onWheel={(e) => {
        e.preventDefault();
        zoomAt(local(e), Math.exp(-e.deltaY / 400));
      }}
      onPointerDown={(e) => {
        if ((e.target as Element).closest("button")) return;
        const at = local(e);
        fingers.current.set(e.pointerId, at);
        if (fingers.current.size === 1)
          begun.current = { at, moved: false, grabbed: p.grab?.(toPhoto(view, at), view) ?? false };
        e.currentTarget.setPointerCapture(e.pointerId);
      }}
      onPointerMove={(e) => {
        const old = fingers.current.get(e.pointerId),
          b = begun.current;
        if (!old || !b) return;
        const at = local(e);
        if (Math.hypot(at[0] - b.at[0], at[1] - b.at[1]) > 6) b.moved = true;
        if (fingers.current.size === 2) {
          const other = [...fingers.current.entries()].find(([id]) => id !== e.pointerId)![1];
          const d0 = Math.hypot(old[0] - other[0], old[1] - other[1]),
            d1 = Math.hypot(at[0] - other[0], at[1] - other[1]);
          zoomAt([(at[0] + other[0]) / 2, (at[1] + other[1]) / 2], d1 / (d0 || 1));
          b.moved = true;
        } else if (b.grabbed)
          p.drag?.(toPhoto(view, at), [(at[0] - old[0]) / view.s, (at[1] - old[1]) / view.s]);
        else if (b.moved)
          setView((v) => ({ ...v, x: v.x + at[0] - old[0], y: v.y + at[1] - old[1] }));
        fingers.current.set(e.pointerId, at);
      }}
      onPointerUp={(e) => {
        const b = begun.current;
        if (fingers.current.delete(e.pointerId) && fingers.current.size === 0 && b) {
          if (b.grabbed) p.drop?.();
          else if (!b.moved) p.tap?.(toPhoto(view, b.at));
        }
      }}
      onPointerCancel={(e) => {
        fingers.current.delete(e.pointerId);
        if (begun.current?.grabbed) p.drop?.();
      }}
    >
      {p.url && view.s > 0 && (
        <img
          ref={img}
          src={p.url}
          alt=""
          width={p.photo.w}
          height={p.photo.h}
          style={{ transform: `translate(${view.x}px, ${view.y}px) scale(${view.s})` }}
          draggable={false}
        />
      )}
      {p.sharp && view.s > 0 && (
        <img
          src={p.sharp.url}
          alt=""
          width={p.sharp.w}
          height={p.sharp.h}
          style={{
            transform: `translate(${view.x + p.sharp.x * view.s}px, ${view.y + p.sharp.y * view.s}px) scale(${view.s})`,
          }}
          draggable={false}
        />
      )}
      {view.s > 0 && (
        <svg role="img" aria-label={p.label} viewBox={`0 0 ${size.w} ${size.h}`}>
          {p.ink(view, size, covered?.of === size ? covered.boxes : undefined)}
        </svg>
      )}
      {view.s > 0 && p.over?.(view, size, img.current)}
    </div>
  );
}

/** The frame round some places, with room for what is written beside them. */
export function frameRound(ps: Point[], room: number, photo: { w: number; h: number }): Frame {
  if (ps.length === 0) return { x: 0, y: 0, w: photo.w, h: photo.h };
  const xs = ps.map((q) => q[0]),
    ys = ps.map((q) => q[1]);
  const x = Math.min(...xs) - room,
    y = Math.min(...ys) - room;
  return { x, y, w: Math.max(...xs) - x + room, h: Math.max(...ys) - y + room };
}
