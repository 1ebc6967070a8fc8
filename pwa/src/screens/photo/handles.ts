// The handles that a correction is made by, in upright pixels of the photo.
import type { MeasureOptions, PhotoLocation, Point, Sides } from "../../bridge/types";

export type Tool = "outline" | "centre" | "edge" | "add" | "remove" | "scale";
export const tools: Tool[] = ["outline", "centre", "edge", "add", "remove", "scale"];
/** The sides of an outline, in the order in which measuring has them. */
export const sideNames = ["right", "bottom", "left", "top"] as const;
type Side = (typeof sideNames)[number];
export interface Handle {
  name: Side | "centre" | "a" | "b";
  at: Point;
}

/** A side moves in or out alone: across it, nothing would change. */
export const sideways = (n: Handle["name"]): boolean => n === "right" || n === "left";
export const upright = (n: Handle["name"]): boolean => n === "top" || n === "bottom";

/** The sides among the handles; undefined where it is not an outline that is in hand. */
export function sidesOf(hs: Handle[]): Sides | undefined {
  const s = sideNames.map((n) => hs.find((h) => h.name === n)?.at);
  return s.every((p) => p !== undefined) ? (s as Sides) : undefined;
}

export const middle = (s: Sides): Point => [
  (s[0][0] + s[1][0] + s[2][0] + s[3][0]) / 4,
  (s[0][1] + s[1][1] + s[2][1] + s[3][1]) / 4,
];

/** The outlines that were placed by hand; a photo that waited since an older version has others. */
export const placedOutlines = (o: MeasureOptions | undefined): { sides: Sides }[] =>
  (o?.outlines ?? []).filter((x) => (x.sides as Sides | undefined)?.length === 4);

const mid = ([a, b]: [Point, Point]): Point => [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];

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

/** What a finger takes hold of. */
export const handlesOf = (tool: Tool, hs: Handle[]): Handle[] =>
  tool === "centre" ? hs.filter((h) => h.name === "centre") : hs;

/** Where the handles of a tool begin: at a fastener, or in the middle of the photo. */
export function firstHandles(
  t: Tool,
  x: PhotoLocation | undefined,
  {
    size,
    pxPerMM,
    by,
    outlines,
    edges,
  }: {
    size: { w: number; h: number };
    pxPerMM: number;
    by: "two" | "round";
    outlines: { sides: Sides }[];
    edges: [Point, Point][];
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
    const e = x.readings.find((r) => r.edge_px)?.edge_px,
      // One that the hand placed here stays where it was put.
      // With one end there already, its other end may be far off still.
      own = edges
        .filter((y) => [mid(y), ...y].some((p) => dist(p, x.centre_px) < pxPerMM * 12))
        .at(-1);
    const [a, b]: [Point, Point] = own
      ? own
      : e
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
  const own = outlines.find((o) => dist(middle(o.sides), x.centre_px) < pxPerMM * x.radius_mm),
    r = x.radius_mm * pxPerMM,
    [u, v] = x.centre_px;
  const [centre, ...found] = x.handles_px ?? [
    x.centre_px,
    [u + r, v] as Point,
    [u, v + r] as Point,
    [u - r, v] as Point,
    [u, v - r] as Point,
  ];
  const sides = own?.sides ?? found;
  return [
    ...sideNames.map((name, n): Handle => ({ name, at: sides[n]! })),
    { name: "centre", at: centre },
  ];
}
