// What is asked when something is corrected by hand, and which reading that changes.
import type { MeasureOptions, PhotoLocation, PhotoReading, Point } from "../../bridge/types";
import { isDiameter } from "../finding";
import { dist, foot, middle, placedOutlines, sidesOf, type Handle, type Tool } from "./handles";

/** With the handles of one fastener as they stand; undefined for tools that mark none. */
export function withHandles(
  options: MeasureOptions,
  tool: Tool,
  h: Handle[],
  l: PhotoLocation,
  pxPerMM: number,
): MeasureOptions | undefined {
  if (tool !== "outline" && tool !== "centre" && tool !== "edge") return undefined;
  if (tool === "edge")
    return {
      ...options,
      edges: [
        // Without the one that was moved: by one of its ends, or as a whole.
        ...(options.edges ?? []).filter(
          (e) =>
            !h.some((x) => e.some((y) => dist(x.at, y) < 1)) &&
            !h.every((x) => dist(foot(x.at, e), x.at) < pxPerMM * 3),
        ),
        [h[0]!.at, h[1]!.at],
      ],
    };
  const sides = sidesOf(h);
  if (!sides) return undefined;
  const c = middle(sides);
  return {
    ...options,
    // A tap that it was read at has done its work.
    ...(options.spec.mark &&
      options.taps && {
        taps: options.taps.filter((t) => dist(t, l.centre_px) > l.radius_mm * pxPerMM),
      }),
    outlines: [
      ...placedOutlines(options).filter((o) => dist(middle(o.sides), c) > l.radius_mm * pxPerMM),
      { sides },
    ],
  };
}

/** With the mark in hand read at another place. */
export const tappedAgain = (
  options: MeasureOptions,
  l: PhotoLocation,
  p: Point,
  pxPerMM: number,
): MeasureOptions => ({
  ...options,
  outlines: placedOutlines(options).filter(
    (o) => dist(middle(o.sides), l.centre_px) > l.radius_mm * pxPerMM,
  ),
  taps: [...(options.taps ?? []).filter((t) => dist(t, l.centre_px) > l.radius_mm * pxPerMM), p],
});

/** With a fastener that was not found. */
export const withTap = (options: MeasureOptions, p: Point): MeasureOptions => ({
  ...options,
  taps: [...(options.taps ?? []), p],
});

/** Without the fastener n: measured at the others alone. */
export function without(
  options: MeasureOptions,
  locations: PhotoLocation[],
  n: number,
  pxPerMM: number,
): MeasureOptions {
  const at = locations[n]!.centre_px,
    hand = placedOutlines(options);
  return {
    ...options,
    only: true,
    outlines: hand.filter((o) => dist(middle(o.sides), at) > pxPerMM * 2),
    taps: locations
      .filter((_, j) => j !== n)
      .filter((r) => !hand.some((o) => dist(middle(o.sides), r.centre_px) < pxPerMM * 2))
      .map((r) => r.centre_px),
  };
}

/** With a scale by two points, or by a round object, in place of the card. */
export function withScale(
  options: MeasureOptions,
  by: "two" | "round",
  hs: Handle[],
  mm: number,
): MeasureOptions {
  const { two_points: _t, round: _r, ...rest } = options;
  return by === "two"
    ? { ...rest, card: "none", two_points: { a: hs[0]!.at, b: hs[1]!.at, mm } }
    : { ...rest, card: "none", round: { at: hs[0]!.at, diameter_mm: mm } };
}

/** As if nothing had been placed by hand. */
export function unmarked(options: MeasureOptions): MeasureOptions {
  const {
    outlines: _o,
    edges: _e,
    taps: _t,
    only: _y,
    two_points: _2,
    round: _r,
    card: _c,
    ...rest
  } = options;
  return rest;
}

/** The reading that the tool in hand changes: of the edge under the handles, else the diameter. */
export function inHand(tool: Tool, rs: PhotoReading[], h: Handle[]): PhotoReading | undefined {
  const a = h[0]?.at,
    off = (r: PhotoReading): number => (r.edge_px && a ? dist(foot(a, r.edge_px), a) : Infinity);
  const edges =
    tool === "edge"
      ? rs.filter((r) => r.quantity === "edge_distance").sort((x, y) => off(x) - off(y))
      : [];
  return edges[0] ?? rs.find((r) => isDiameter(r.quantity)) ?? rs[0];
}
