// Which locations a photo shows: by the pattern of its fasteners among the pins, else the next ones
// without a finding. A proposal: the builder sees it and may change it.
import type { Location, PartView, PhotoLocation, Point } from "../../bridge/types";

const away = (a: Point, b: Point): number => Math.hypot(a[0] - b[0], a[1] - b[1]);

/** A turn, scale and shift that takes a to p and b to q: z -> m z + n over complex numbers. */
function between(a: Point, b: Point, p: Point, q: Point): { m: Point; n: Point } | undefined {
  const d: Point = [b[0] - a[0], b[1] - a[1]],
    e: Point = [q[0] - p[0], q[1] - p[1]],
    l = d[0] ** 2 + d[1] ** 2;
  if (l === 0) return undefined;
  const m: Point = [(e[0] * d[0] + e[1] * d[1]) / l, (e[1] * d[0] - e[0] * d[1]) / l];
  return { m, n: [p[0] - (m[0] * a[0] - m[1] * a[1]), p[1] - (m[0] * a[1] + m[1] * a[0])] };
}

/** Pins in one measure for both ways; mm where the layout says how large it is. */
function pins(v: PartView): { at: Point; l: Location }[] | undefined {
  const y = v.part.layout;
  const size: Point =
    y?.width_mm && y.height_mm
      ? [y.width_mm, y.height_mm]
      : y?.width_px && y.height_px
        ? [y.width_px, y.height_px]
        : [1, 0.6];
  const out = v.places
    .filter((p) => p.location.pin && !p.location.out)
    .map((p) => ({
      at: [p.location.pin!.x * size[0], p.location.pin!.y * size[1]] as Point,
      l: p.location,
    }));
  return out.length > 1 ? out : undefined;
}

const unread = (l: Location, hole: boolean): boolean =>
  !l.whole || (hole ? false : l.stage !== "set rivet");

/** "none" for a fastener that is not to be kept: with wanted locations, the neighbours that are on the photo too. */
export function propose(
  found: PhotoLocation[],
  v: PartView,
  hole: boolean,
  wanted: string[] | undefined,
): (string | undefined)[] {
  const order = inRow(found);
  if (wanted?.length) {
    const fits =
      wanted.length < order.length
        ? pattern(found, v, new Set(wanted))?.map((id) =>
            id && wanted.includes(id) ? id : undefined,
          )
        : undefined;
    return (fits?.some((id) => id) ? fits : spread(found, order, wanted)).map((id) => id ?? "none");
  }
  const free = v.places.map((p) => p.location).filter((l) => !l.out && unread(l, hole));
  const byPattern = pattern(found, v, new Set(free.map((l) => l.id)));
  return (
    byPattern ??
    spread(
      found,
      order,
      free.map((l) => l.id),
    )
  );
}

function spread(found: PhotoLocation[], order: number[], ids: string[]): (string | undefined)[] {
  const out: (string | undefined)[] = found.map(() => undefined);
  order.forEach((i, k) => {
    out[i] = ids[k];
  });
  return out;
}

/** Along the way they lie, as one reads: from the top or the left. */
function inRow(found: PhotoLocation[]): number[] {
  const xs = found.map((l) => l.centre_px[0]),
    ys = found.map((l) => l.centre_px[1]);
  const tall = Math.max(...ys) - Math.min(...ys) > Math.max(...xs) - Math.min(...xs);
  return found
    .map((_, i) => i)
    .filter((i) => !found[i]!.ask)
    .sort((a, b) => (tall ? ys[a]! - ys[b]! : xs[a]! - xs[b]!));
}

/** Of the sheet y points up, of a layout down. */
function pattern(
  found: PhotoLocation[],
  v: PartView,
  free: Set<string>,
): (string | undefined)[] | undefined {
  const ps = pins(v),
    real = found
      .map((l, i) => ({ at: [l.sheet_mm[0], -l.sheet_mm[1]] as Point, i }))
      .filter((f) => !found[f.i]!.ask);
  if (!ps || real.length < 2) return undefined;
  const known = !!v.part.layout?.width_mm;
  const a = real[0]!,
    b = real.reduce((x, y) => (away(y.at, a.at) > away(x.at, a.at) ? y : x));
  let best: { score: number; ids: Map<number, string> } | undefined;
  const least = Math.min(
    ...real.flatMap((x) => real.filter((y) => y !== x).map((y) => away(x.at, y.at))),
  );
  for (const p of ps)
    for (const q of ps) {
      if (p === q) continue;
      const t = between(a.at, b.at, p.at, q.at);
      if (!t) continue;
      const scale = Math.hypot(...t.m);
      if (known && (scale < 0.85 || scale > 1.15)) continue;
      const ids = new Map<number, string>();
      let off = 0;
      for (const f of real) {
        const at: Point = [
          t.m[0] * f.at[0] - t.m[1] * f.at[1] + t.n[0],
          t.m[0] * f.at[1] + t.m[1] * f.at[0] + t.n[1],
        ];
        const near = ps.reduce((x, y) => (away(y.at, at) < away(x.at, at) ? y : x));
        const d = away(near.at, at) / (scale * least);
        if (d > 0.25 || [...ids.values()].includes(near.l.id)) {
          off = Infinity;
          break;
        }
        off += d;
        ids.set(f.i, near.l.id);
      }
      if (!Number.isFinite(off)) continue;
      // Where a row fits in several places, the one without findings, then the first and least turned.
      const turn = Math.abs(Math.atan2(t.m[1], t.m[0]));
      const open = [...ids.values()].filter((id) => free.has(id)).length;
      const score =
        open * 100 - off * 10 - turn - ps.indexOf(p) * 0.1 - (known ? Math.abs(scale - 1) * 20 : 0);
      if (!best || score > best.score) best = { score, ids };
    }
  if (!best || (real.length === 2 && !known)) return undefined;
  return found.map((_, i) => best!.ids.get(i));
}
