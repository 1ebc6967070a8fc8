// Where the sheet's millimetres are on the photo: the camera of the document, for drawing alone.
// The formulas are those of imaging/geom.Camera; nothing that is drawn with them is measured.
import type { Camera, Point } from "../../bridge/types";

/** Pixel at which a place on the sheet, mm, is seen. */
export function project(c: Camera, [x, y]: Point, z = 0): Point {
  const [a, b, d] = c.r.map((row, i) => row[0] * x + row[1] * y + row[2] * z + c.t[i]!) as [
    number,
    number,
    number,
  ];
  const u = a / d,
    v = b / d,
    g = c.focal_px * (1 + c.k1 * (u * u + v * v));
  return [c.cx_px + g * u, c.cy_px + g * v];
}

/** Place on the sheet that is seen at a pixel. */
export function toSheet(c: Camera, [u, v]: Point): Point {
  const xd = (u - c.cx_px) / c.focal_px,
    yd = (v - c.cy_px) / c.focal_px;
  let x = xd,
    y = yd;
  for (let i = 0; i < 8; i++) {
    const g = 1 + c.k1 * (x * x + y * y);
    x = xd / g;
    y = yd / g;
  }
  const r = c.r,
    t = c.t;
  const dir = [0, 1, 2].map((k) => r[0][k]! * x + r[1][k]! * y + r[2][k]!) as [
    number,
    number,
    number,
  ];
  const at = [0, 1, 2].map((k) => -(r[0][k]! * t[0] + r[1][k]! * t[1] + r[2][k]! * t[2])) as [
    number,
    number,
    number,
  ];
  const s = -at[2] / dir[2];
  return [at[0] + s * dir[0], at[1] + s * dir[1]];
}

export const sub = (a: Point, b: Point): Point => [a[0] - b[0], a[1] - b[1]];
export const add = (a: Point, b: Point, k = 1): Point => [a[0] + k * b[0], a[1] + k * b[1]];
export const dot = (a: Point, b: Point): number => a[0] * b[0] + a[1] * b[1];
export const len = (a: Point): number => Math.hypot(a[0], a[1]);
export const unit = (a: Point): Point => {
  const l = len(a) || 1;
  return [a[0] / l, a[1] / l];
};

/** The point of the line through a and b that is nearest to p. */
export function foot(p: Point, a: Point, b: Point): Point {
  const d = unit(sub(b, a));
  return add(a, d, dot(sub(p, a), d));
}

/** The hull's path of points. */
export const pathOf = (ps: Point[]): string =>
  ps.length ? `M${ps.map((p) => `${p[0].toFixed(1)} ${p[1].toFixed(1)}`).join("L")}Z` : "";
