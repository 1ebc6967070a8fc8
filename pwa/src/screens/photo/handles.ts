// The handles that a correction is made by, in upright pixels of the photo.
import type { MeasureOptions, PhotoLocation, Point } from "../../bridge/types";

export type Tool = "outline" | "centre" | "edge" | "add" | "remove" | "scale";
export const tools: Tool[] = ["outline", "centre", "edge", "add", "remove", "scale"];
export interface Handle {
  name: "rim" | "centre" | "a" | "b";
  at: Point;
}

export const dist = (a: Point, b: Point): number => Math.hypot(a[0] - b[0], a[1] - b[1]);

export const foot = (p: Point, [a, b]: [Point, Point]): Point => {
  const d: Point = [b[0] - a[0], b[1] - a[1]],
    t = ((p[0] - a[0]) * d[0] + (p[1] - a[1]) * d[1]) / (d[0] ** 2 + d[1] ** 2 || 1);
  return [a[0] + t * d[0], a[1] + t * d[1]];
};

/** The piece of an edge that is beside the fastener, so that both handles are in the picture. */
function nearPart(c: Point, e: [Point, Point], half: number): [Point, Point] {
  const f = foot(c, e),
    l = dist(e[0], e[1]) || 1,
    u: Point = [(e[1][0] - e[0][0]) / l, (e[1][1] - e[0][1]) / l];
  return [
    [f[0] - u[0] * half * 0.6, f[1] - u[1] * half * 0.6],
    [f[0] + u[0] * half * 0.6, f[1] + u[1] * half * 0.6],
  ];
}

/** Four handles on the rim for one radius. */
export function handlesOf(tool: Tool, hs: Handle[], ring: Point[]): Handle[] {
  const c = hs.find((h) => h.name === "centre"),
    rim = hs.find((h) => h.name === "rim");
  if (tool !== "outline" || !c || !rim)
    return tool === "centre" ? hs.filter((h) => h.name === "centre") : hs;
  const rims = ring.length ? ring.filter((_, n) => n % (ring.length / 4) === 0) : [rim.at];
  return [...rims.map((at): Handle => ({ name: "rim", at })), c];
}

/** Where the handles of a tool begin: at a fastener, or in the middle of the photo. */
export function firstHandles(
  t: Tool,
  x: PhotoLocation | undefined,
  {
    size,
    pxPerMM,
    by,
    outlines,
  }: {
    size: { w: number; h: number };
    pxPerMM: number;
    by: "two" | "round";
    outlines: MeasureOptions["outlines"];
  },
): Handle[] {
  if (t === "scale")
    return by === "two"
      ? [
          { name: "a", at: [size.w * 0.3, size.h * 0.5] },
          { name: "b", at: [size.w * 0.7, size.h * 0.5] },
        ]
      : [{ name: "centre", at: [size.w / 2, size.h / 2] }];
  if (t === "add")
    return [
      {
        name: "centre",
        at: x ? [x.centre_px[0], x.centre_px[1] + pxPerMM * 12] : [size.w / 2, size.h / 2],
      },
    ];
  if (t === "remove" || !x) return [];
  if (t === "edge") {
    const e = x.readings.find((r) => r.edge_px)?.edge_px;
    const [a, b]: [Point, Point] = e
      ? nearPart(x.centre_px, e, pxPerMM * 9)
      : [
          [x.centre_px[0] + 9 * pxPerMM, x.centre_px[1] - 6 * pxPerMM],
          [x.centre_px[0] + 9 * pxPerMM, x.centre_px[1] + 6 * pxPerMM],
        ];
    return [
      { name: "a", at: a },
      { name: "b", at: b },
    ];
  }
  const own = outlines?.find((o) => dist(o.centre, x.centre_px) < pxPerMM * x.radius_mm);
  const [centre, rim] = x.handles_px ?? [
    x.centre_px,
    [x.centre_px[0] + x.radius_mm * pxPerMM, x.centre_px[1]] as Point,
  ];
  return [
    { name: "rim", at: own?.rim ?? rim },
    { name: "centre", at: own?.centre ?? centre },
  ];
}
