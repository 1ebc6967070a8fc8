// Pieces of photos: where a finding is looked at, sharp, on a device that does not have the photo
// itself. Nothing is measured in them.
import type { Crop, FindingData, Point } from "../bridge/types";
import { db } from "./db";
import { fetchOnce } from "./photos";

/** Around a fastener, mm: its head, and room for what is written beside it. */
const ROOM_MM = 11;
/** The longer side that the laptop is asked for, px: a phone's screen has about as many. */
const SIDE = 1600;

/**
 * The piece of the shot that shows a finding: the fastener, and the edge that its least edge
 * distance goes to. Whole upright pixels inside the photo; undefined where the places are not kept.
 */
export function pieceOf(d: FindingData): Crop | undefined {
  const p = d.places;
  if (!p) return undefined;
  const c = p.centre_px,
    ring = p.outline_px ?? [];
  const r = ring.length
    ? ring.reduce((a, q) => a + Math.hypot(q[0] - c[0], q[1] - c[1]), 0) / ring.length
    : (d.crop?.w ?? 400) / 3.8;
  const room = (ROOM_MM * r) / p.radius_mm,
    near: Point[] = [c];
  const edge = (p.spans ?? [])
    .filter((s) => s.edge_px)
    .sort(
      (a, b) => (d.readings?.[a.reading]?.value_mm ?? 0) - (d.readings?.[b.reading]?.value_mm ?? 0),
    )[0]?.edge_px;
  if (edge) near.push(footPx(c, edge[0], edge[1]));
  const xs = near.map((q) => q[0]),
    ys = near.map((q) => q[1]);
  const x = Math.max(0, Math.floor(Math.min(...xs) - room)),
    y = Math.max(0, Math.floor(Math.min(...ys) - room));
  const w = Math.min(p.width_px, Math.ceil(Math.max(...xs) + room)) - x,
    h = Math.min(p.height_px, Math.ceil(Math.max(...ys) + room)) - y;
  return w > 8 && h > 8 ? { x, y, w, h } : undefined;
}

function footPx(p: Point, a: Point, b: Point): Point {
  const d: Point = [b[0] - a[0], b[1] - a[1]],
    t = ((p[0] - a[0]) * d[0] + (p[1] - a[1]) * d[1]) / (d[0] ** 2 + d[1] ** 2 || 1);
  return [a[0] + t * d[0], a[1] + t * d[1]];
}

export const pieceKey = (hash: string, c: Crop): string => `${hash} ${c.x},${c.y},${c.w},${c.h}`;

/** A piece from this device, else from the laptop, which is then kept; undefined where it can't be had now. */
export async function piece(hash: string, c: Crop): Promise<Blob | undefined> {
  return (
    (await (await db()).get("pieces", pieceKey(hash, c)))?.blob ??
    fetchPiece(hash, c).catch(() => undefined)
  ); // out of reach
}

/** Fetches a piece and keeps it; undefined where the laptop has no such photo. Rejects where it is out of reach. */
export const fetchPiece = (hash: string, c: Crop): Promise<Blob | undefined> =>
  fetchOnce(pieceKey(hash, c), async () => {
    const r = await fetch(
      `/api/photos/${hash}/preview?side=${SIDE}&crop=${c.x},${c.y},${c.w},${c.h}`,
      { cache: "no-store" },
    );
    if (!r.ok) return undefined;
    const blob = await r.blob();
    await (await db()).put("pieces", { key: pieceKey(hash, c), blob, at: Date.now() });
    return blob;
  });
