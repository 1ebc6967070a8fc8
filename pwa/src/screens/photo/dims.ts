// What is drawn on a photo and where: dimension lines in the sheet's perspective, values upright,
// none over another. After ISO 129-1: extension lines, filled arrowheads, leaders with shelves.
import type { Camera, PhotoLocation, PhotoReading, Point, Whole } from "../../bridge/types";
import { w } from "../../words";
import { isDiameter } from "../finding";
import { add, dot, foot, len, project, sub, toSheet, unit } from "./camera";

export interface Line {
  d: string;
  cls: string;
  width: number;
  arrows: Point[][];
}
export interface Value {
  x: number;
  y: number;
  w: number;
  text: string;
  cls: string;
}
export interface Tag {
  x: number;
  y: number;
  w: number;
  text: string;
  index: number;
  verdict: Whole | "";
  chosen: boolean;
}
export interface Plan {
  outlines: {
    d: string;
    cls: string;
    chosen: boolean;
    index: number;
    hit: [number, number, number];
  }[];
  lines: Line[];
  values: Value[];
  tags: Tag[];
}

interface Box {
  x: number;
  y: number;
  w: number;
  h: number;
}
const hits = (a: Box, b: Box): boolean =>
  a.x < b.x + b.w && b.x < a.x + a.w && a.y < b.y + b.h && b.y < a.y + a.h;

export interface View {
  s: number;
  x: number;
  y: number;
}
export const toScreen = (v: View, p: Point): Point => [v.x + p[0] * v.s, v.y + p[1] * v.s];
export const toPhoto = (v: View, p: Point): Point => [(p[0] - v.x) / v.s, (p[1] - v.y) / v.s];

const cls: Record<Whole | "", string> = {
  within: "ph-within",
  unread: "ph-unread",
  out: "ph-out",
  "too close": "ph-close",
  "": "",
};
const weight: Record<Whole | "", number> = {
  out: 4,
  "too close": 3,
  unread: 2,
  within: 1,
  "": 0,
};
const ARROW = 11,
  MOST = 12,
  SMALL_HEAD = 17;

export interface Ask {
  locations: PhotoLocation[];
  verdicts: (Whole | "")[];
  tags: string[];
  camera: Camera | undefined;
  view: View;
  size: { w: number; h: number };
  chosen: number | undefined;
  /** Text of a reading: with U for the chosen one. */
  text: (r: PhotoReading, withU: boolean) => string;
}

let pen: CanvasRenderingContext2D | null | undefined;
/** How wide a value is in this system's face, px, at the size that the style gives it. */
function textWidth(t: string): number {
  pen ??= document.createElement("canvas").getContext("2d");
  const px = document.documentElement.dataset["theme"] === "outdoor" ? 17 : 15;
  if (!pen) return t.length * 0.6 * px;
  pen.font = `700 ${px}px ${getComputedStyle(document.body).fontFamily}`;
  return pen.measureText(t).width;
}

function arrow(tip: Point, dir: Point): Point[] {
  const n: Point = [-dir[1], dir[0]],
    b = add(tip, dir, -ARROW);
  return [tip, add(b, n, 1.9), add(b, n, -1.9)];
}
const seg = (a: Point, b: Point): string =>
  `M${a[0].toFixed(1)} ${a[1].toFixed(1)}L${b[0].toFixed(1)} ${b[1].toFixed(1)}`;

export function plan(q: Ask): Plan {
  const out: Plan = { outlines: [], lines: [], values: [], tags: [] };
  const scr = (p: Point): Point => toScreen(q.view, p);
  const mm = (p: Point): Point => (q.camera ? scr(project(q.camera, p)) : [NaN, NaN]);
  const taken: Box[] = [];
  const heads = q.locations.map((l) => {
    const c = scr(l.centre_px),
      ring = (l.outline_px ?? []).map(scr);
    const r = ring.length ? ring.reduce((a, p) => a + len(sub(p, c)), 0) / ring.length : 14;
    return { c, r, ring };
  });
  heads.forEach((h, i) => {
    const v = q.verdicts[i] ?? "",
      chosen = q.chosen === i;
    out.outlines.push({
      d: h.ring.length
        ? `M${h.ring.map((p) => `${p[0].toFixed(1)} ${p[1].toFixed(1)}`).join("L")}Z`
        : "",
      cls: cls[v],
      chosen,
      index: i,
      hit: [h.c[0], h.c[1], Math.max(24, h.r)],
    });
    if (q.chosen === undefined || chosen)
      taken.push({ x: h.c[0] - h.r, y: h.c[1] - h.r, w: 2 * h.r, h: 2 * h.r });
  });
  const width = (t: string): number => textWidth(t) + 8;
  const free = (b: Box): boolean =>
    b.x > 3 &&
    b.y > 3 &&
    b.x + b.w < q.size.w - 3 &&
    b.y + b.h < q.size.h - 3 &&
    !taken.some((t) => hits(t, b));
  const put = (
    text: string,
    c: string,
    places: Point[],
    tag?: { index: number; verdict: Whole | "" },
  ): Point | undefined => {
    const w = tag ? width(text) + 26 : width(text),
      h = tag ? 28 : 22;
    for (const p of places) {
      const b = { x: p[0] - w / 2, y: p[1] - h / 2, w, h };
      if (!free(b)) continue;
      taken.push(b);
      if (tag) out.tags.push({ x: b.x, y: b.y, w, text, ...tag, chosen: q.chosen === tag.index });
      else out.values.push({ x: p[0], y: p[1], w, text, cls: c });
      return p;
    }
    return undefined;
  };
  const order = q.locations
    .map((_, i) => i)
    .filter((i) => q.chosen === undefined || q.chosen === i)
    .sort(
      (a, b) =>
        weight[q.verdicts[b] ?? ""] - weight[q.verdicts[a] ?? ""] ||
        heads[a]!.c[1] - heads[b]!.c[1],
    );
  // Outward is toward the edge that most of them have in common, so that tags and pitches stand in line.
  const toEdges = q.locations.map((l, i) =>
    l.readings.flatMap((r) =>
      r.edge_px
        ? [unit(sub(foot(heads[i]!.c, scr(r.edge_px[0]), scr(r.edge_px[1])), heads[i]!.c))]
        : [],
    ),
  );
  const shared = (d: Point): number =>
    toEdges.filter((ds) => ds.some((e) => dot(d, e) > 0.9)).length;
  const outward = (i: number): Point =>
    [...toEdges[i]!].sort((a, b) => shared(b) - shared(a))[0] ?? [1, 0];
  // Tags first: they are the names of all that follows.
  for (const i of order) {
    const h = heads[i]!,
      o = outward(i),
      tag = q.tags[i] ?? "";
    const reach = h.r + 52;
    const n: Point = [-o[1], o[0]];
    const spots: Point[] = [
      add(h.c, o, -reach),
      add(h.c, o, -reach - 26),
      add(h.c, n, -h.r - 24),
      add(h.c, n, h.r + 24),
      add(h.c, o, reach),
      [h.c[0], h.c[1] - h.r - 22],
    ];
    const name = { index: i, verdict: q.verdicts[i] ?? ("" as const) };
    // A name is never left out, even where it stands on something.
    if (!put(tag, "", spots, name))
      out.tags.push({
        x: h.c[0] + h.r + 4,
        y: h.c[1] - h.r - 14,
        w: width(tag) + 26,
        text: tag,
        ...name,
        chosen: q.chosen === i,
      });
  }
  const full = (): boolean => out.values.length >= MOST;
  for (const i of order) {
    const l = q.locations[i]!,
      h = heads[i]!,
      one = q.chosen === i,
      dec = l.checks[l.governing];
    if (h.r < SMALL_HEAD || l.ask) continue;
    const o = outward(i),
      bad = (r: PhotoReading): string =>
        dec &&
        dec.verdict !== "within" &&
        dec.reading.quantity === r.quantity &&
        dec.reading.value_mm === r.value_mm
          ? cls[dec.verdict]
          : "";
    const mark = 0.9;
    if (q.camera) {
      const [x, y] = l.sheet_mm;
      out.lines.push({
        d: seg(mm([x - mark, y]), mm([x + mark, y])) + seg(mm([x, y - mark]), mm([x, y + mark])),
        cls: "",
        width: 1.2,
        arrows: [],
      });
    }
    const edges = l.readings
      .filter((r) => r.quantity === "edge_distance" && r.edge_px)
      .sort((a, b) => a.value_mm - b.value_mm)
      .slice(0, 1);
    // The mean; the least or greatest where that one makes the verdict.
    const diam =
      l.readings.find((r) => isDiameter(r.quantity) && bad(r)) ??
      l.readings.find((r) => r.quantity === "head_d_mean" || r.quantity === "hole_d_mean");
    for (const r of edges) if (!full()) edgeDim(r);
    if (diam && !full()) (one ? trueDiameter : leader)(diam);
    if (one && q.camera)
      for (const r of l.readings
        .filter((x) => x.quantity === "pitch" && x.to !== undefined)
        .sort((a, b) => a.value_mm - b.value_mm)
        .slice(0, 2))
        pitchDim(i, r.to!, r);

    function edgeDim(r: PhotoReading): void {
      const a = h.c,
        b = q.camera
          ? mm(foot(l.sheet_mm, toSheet(q.camera, r.edge_px![0]), toSheet(q.camera, r.edge_px![1])))
          : foot(h.c, scr(r.edge_px![0]), scr(r.edge_px![1]));
      if (!Number.isFinite(b[0])) return;
      const d = unit(sub(b, a)),
        L = len(sub(b, a)),
        text = q.text(r, one),
        w = width(text);
      const along = (Math.abs(d[0]) * w) / 2 + Math.abs(d[1]) * 11 + 12;
      const at = put(text, bad(r), [
        add(b, d, along + 6),
        add(b, d, along + 24),
        ...(L > 2 * along + 26 ? [add(a, d, L / 2)] : []),
        add(add(b, d, along + 6), [0, 1], 22),
        add(add(b, d, along + 6), [0, -1], 22),
        ...[1, -1].flatMap((k) =>
          [0.6, 1, 0.3].map((t) =>
            add(
              add(a, d, L * t),
              [-d[1] * k, d[0] * k],
              (Math.abs(d[1]) * w) / 2 + Math.abs(d[0]) * 11 + 5,
            ),
          ),
        ),
      ]);
      if (!at) return;
      const e = unit(sub(scr(r.edge_px![1]), scr(r.edge_px![0])));
      out.lines.push({
        d: seg(add(b, e, -13), add(b, e, 13)),
        cls: bad(r),
        width: 1.2,
        arrows: [],
      });
      if (L > 2 * ARROW + 8)
        out.lines.push({
          d: seg(a, b) + seg(b, nearer(at, b, w)),
          cls: bad(r),
          width: 1.5,
          arrows: [arrow(b, d), arrow(a, [-d[0], -d[1]])],
        });
      else
        out.lines.push({
          d: seg(add(a, d, -22), add(b, d, 22)),
          cls: bad(r),
          width: 1.5,
          arrows: [arrow(a, d), arrow(b, [-d[0], -d[1]])],
        });
    }
    function diameter(r: PhotoReading, withU: boolean): string {
      const which = r.quantity.endsWith("_min")
        ? `${w.min} `
        : r.quantity.endsWith("_max")
          ? `${w.max} `
          : "";
      return `Ø ${which}${q.text(r, withU)}`;
    }
    function leader(r: PhotoReading): void {
      const right = o[0] >= 0 ? 1 : -1,
        text = diameter(r, false),
        w = width(text);
      for (const [dx, dy] of [
        [right, -1],
        [-right, -1],
        [right, 1],
        [-right, 1],
      ] as const) {
        const s = Math.SQRT1_2,
          from: Point = [h.c[0] + dx * s * h.r, h.c[1] + dy * s * h.r];
        for (const far of [16, 30, 44]) {
          const elbow: Point = [from[0] + dx * s * far, from[1] + dy * s * far],
            at: Point = [elbow[0] + dx * (12 + w / 2), elbow[1]];
          if (!put(text, bad(r), [at])) continue;
          out.lines.push({
            d: `${seg(elbow, from)}${seg(elbow, [elbow[0] + dx * 12, elbow[1]])}`,
            cls: bad(r),
            width: 1.5,
            arrows: [arrow(from, unit(sub(from, elbow)))],
          });
          return;
        }
      }
    }
    function trueDiameter(r: PhotoReading): void {
      const text = diameter(r, true),
        w = width(text),
        left: Point = [h.c[0] - h.r, h.c[1]],
        right: Point = [h.c[0] + h.r, h.c[1]];
      for (const up of [-1, 1])
        for (const gap of [30, 54]) {
          const y = h.c[1] + up * (h.r + gap);
          const at = put(text, bad(r), [
            ...(2 * h.r > w + 2 * ARROW + 8 ? [[h.c[0], y] as Point] : []),
            [right[0] + 26 + w / 2, y],
            [left[0] - 26 - w / 2, y],
            [h.c[0], y + up * 24],
          ]);
          if (!at) continue;
          const inside = 2 * h.r > 2 * ARROW + 8,
            l1: Point = [left[0], y],
            r1: Point = [right[0], y];
          out.lines.push({
            d:
              seg([left[0], h.c[1]], [left[0], y + up * 8]) +
              seg([right[0], h.c[1]], [right[0], y + up * 8]),
            cls: "",
            width: 1.2,
            arrows: [],
          });
          out.lines.push({
            d:
              seg(inside ? l1 : [l1[0] - 22, y], inside ? r1 : [r1[0] + 22, y]) +
              (Math.abs(at[1] - y) < 1
                ? seg(at[0] > h.c[0] ? r1 : l1, nearer(at, at[0] > h.c[0] ? r1 : l1, w))
                : ""),
            cls: bad(r),
            width: 1.5,
            arrows: inside
              ? [arrow(l1, [-1, 0]), arrow(r1, [1, 0])]
              : [arrow(l1, [1, 0]), arrow(r1, [-1, 0])],
          });
          return;
        }
    }
  }
  if (q.chosen === undefined && q.camera) chain();
  return out;

  /** The pitches between neighbours, on the inner side. */
  function chain(): void {
    const seen = new Set<string>();
    q.locations.forEach((l, i) => {
      const near = l.readings
        .filter((r) => r.quantity === "pitch" && r.to !== undefined)
        .sort((a, b) => a.value_mm - b.value_mm)[0];
      if (!near || l.ask || heads[i]!.r < SMALL_HEAD) return;
      const k = [i, near.to!].sort().join();
      if (seen.has(k) || full()) return;
      seen.add(k);
      pitchDim(i, near.to!, near);
    });
  }
  function pitchDim(i: number, j: number, r: PhotoReading): void {
    const a = q.locations[i]!,
      b = q.locations[j];
    if (!b || !q.camera) return;
    const d = unit(sub(b.sheet_mm, a.sheet_mm)),
      dec = a.checks[a.governing];
    const o = outward(i),
      c =
        dec &&
        dec.verdict !== "within" &&
        dec.reading.quantity === "pitch" &&
        dec.reading.value_mm === r.value_mm
          ? cls[dec.verdict]
          : "";
    let n: Point = [-d[1], d[0]];
    // To the inner side, as the screen shows it.
    if (dot(sub(mm(add(a.sheet_mm, n)), mm(a.sheet_mm)), o) > 0) n = [d[1], -d[0]];
    const text = q.text(r, q.chosen !== undefined),
      w = width(text);
    for (const off of [
      Math.max(a.radius_mm, b.radius_mm) + 2.2,
      Math.max(a.radius_mm, b.radius_mm) + 6,
    ]) {
      const p = mm(add(a.sheet_mm, n, off)),
        s = mm(add(b.sheet_mm, n, off)),
        e = unit(sub(s, p)),
        L = len(sub(s, p));
      if (!(L > 3 * ARROW)) return;
      const at = put(text, c, [add(p, e, L / 2), add(p, e, L / 4), add(p, e, (3 * L) / 4)]);
      if (!at) continue;
      const cut = (Math.abs(e[0]) * w) / 2 + Math.abs(e[1]) * 11 + 3,
        m = dot(sub(at, p), e);
      out.lines.push({
        d:
          seg(mm(add(a.sheet_mm, n, 1.4)), mm(add(a.sheet_mm, n, off + 0.8))) +
          seg(mm(add(b.sheet_mm, n, 1.4)), mm(add(b.sheet_mm, n, off + 0.8))),
        cls: "",
        width: 1.2,
        arrows: [],
      });
      out.lines.push({
        d: seg(p, add(p, e, m - cut)) + seg(add(p, e, m + cut), s),
        cls: c,
        width: 1.5,
        arrows: [arrow(p, [-e[0], -e[1]]), arrow(s, e)],
      });
      return;
    }
  }
  function nearer(at: Point, from: Point, w: number): Point {
    const x = Math.min(at[0] + w / 2, Math.max(at[0] - w / 2, from[0])),
      y = Math.min(at[1] + 11, Math.max(at[1] - 11, from[1]));
    return [x, y];
  }
}
