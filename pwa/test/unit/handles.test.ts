import assert from "node:assert/strict";
import { test } from "node:test";
import type { PhotoLocation, Point } from "../../src/bridge/types";
import { firstHandles } from "../../src/screens/photo/handles";

// A line that was found 15.4 mm beside a mark, at 10 px/mm, is brought nearer one end after the other.
test("an edge of which one end was moved stays in hand until the other one is", () => {
  const found: [Point, Point] = [
    [346, 440],
    [346, 560],
  ];
  const mark = {
    centre_px: [500, 500],
    radius_mm: 1.6,
    readings: [{ quantity: "edge_distance", edge_px: found }],
  } as unknown as PhotoLocation;
  const handles = (edges: [Point, Point][]) =>
    firstHandles("edge", mark, {
      size: { w: 1000, h: 1000 },
      pxPerMM: 10,
      by: "two",
      outlines: [],
      edges,
    }).map((h) => h.at);
  const half: [Point, Point] = [[412, 450], found[1]];
  assert.deepEqual(handles([half]), half);
  // One that was placed at the next rivet of the row is not this one's.
  assert.equal(
    handles([
      [
        [412, 263],
        [412, 337],
      ],
    ])[0]![0],
    346,
  );
});
