// Which part of a photo a frame on the screen shows. Place (0, 0) of a photo is the middle of its
// first pixel, as everywhere on the Go side.
import type { Drawing, DrawView, Point } from "../../bridge/types";

export type View = DrawView;

export const toScreen = (v: View, p: Point): Point => [
  v.x + (p[0] + 0.5) * v.s,
  v.y + (p[1] + 0.5) * v.s,
];
export const toPhoto = (v: View, p: Point): Point => [
  (p[0] - v.x) / v.s - 0.5,
  (p[1] - v.y) / v.s - 0.5,
];

/** What was drawn for one view, moved to another, until it is planned for that. */
export function moved(from: View, to: View): string | undefined {
  const k = to.s / from.s,
    x = to.x - from.x * k,
    y = to.y - from.y * k;
  return k === 1 && x === 0 && y === 0 ? undefined : `translate(${x} ${y}) scale(${k})`;
}

/** Index of the location that a finger at a place of the drawing means, -1 where it means none. */
export function meant(d: Drawing, [x, y]: Point): number {
  const tag = d.tags.find(({ box: b }) => b[0] <= x && x <= b[2] && b[1] <= y && y <= b[3]);
  if (tag) return tag.of;
  const away = d.hits.map((h) => Math.hypot(x - h.at[0], y - h.at[1]) - h.radius);
  const nearest = away.indexOf(Math.min(...away));
  return nearest >= 0 && away[nearest]! < 0 ? nearest : -1;
}
