import assert from "node:assert/strict";
import { test } from "node:test";
import "fake-indexeddb/auto";
import { openDB } from "idb";
import type { FindingData, Point } from "../../src/bridge/types";
import { closeDB, db } from "../../src/data/db";
import { pieceKey, pieceOf } from "../../src/data/pieces";

const ring = (c: Point, r: number): Point[] =>
  Array.from({ length: 36 }, (_, i) => [
    c[0] + r * Math.cos((i * Math.PI) / 18),
    c[1] + r * Math.sin((i * Math.PI) / 18),
  ]);
/** A head of 3.5 mm radius at 10 px/mm, its edge to the right at some distance. */
const finding = (c: Point, edgeX: number): FindingData => ({
  spec: { kind: "shop-head", nominal_mm: 4.8 },
  result: { verdict: "within", checks: [] },
  readings: [
    {
      quantity: "edge_distance",
      value_mm: (edgeX - c[0]) / 10,
      U_mm: 0.1,
      how: "photo",
      method: "test",
    },
  ],
  places: {
    width_px: 1000,
    height_px: 800,
    camera: {
      focal_px: 1000,
      cx_px: 500,
      cy_px: 400,
      k1: 0,
      r: [
        [1, 0, 0],
        [0, 1, 0],
        [0, 0, 1],
      ],
      t: [0, 0, 100],
    },
    centre_px: c,
    sheet_mm: [0, 0],
    radius_mm: 3.5,
    outline_px: ring(c, 35),
    spans: [
      {
        reading: 0,
        edge_px: [
          [edgeX, -500],
          [edgeX, 2000],
        ],
      },
    ],
  },
});

test("the piece of a finding holds the fastener and its nearest edge, and lies inside the photo", () => {
  const p = pieceOf(finding([500, 400], 600))!;
  assert.deepEqual(p, { x: 390, y: 290, w: 320, h: 220 }); // 11 mm around head and foot
  const corner = pieceOf(finding([960, 20], 990))!;
  assert.deepEqual(corner, { x: 850, y: 0, w: 150, h: 130 });
  assert.equal(pieceKey("ab", p), "ab 390,290,320,220");
  assert.equal(
    pieceOf({ spec: { kind: "hole", nominal_mm: 4.8 }, result: { verdict: "", checks: [] } }),
    undefined,
  );
});

test("a disk of the version before keeps all that is on it", async () => {
  const old = await openDB("bucktail", 1, {
    upgrade(d) {
      d.createObjectStore("photos", { keyPath: "hash" });
      d.createObjectStore("entries", { keyPath: "hash" }).createIndex("id", "id");
      d.createObjectStore("outbox", { keyPath: "key" });
      d.createObjectStore("drafts", { keyPath: "id" }).createIndex("photo", "photo");
      d.createObjectStore("settings");
    },
  });
  await old.put("entries", {
    hash: "e",
    id: "1",
    raw: "{}",
    device: "d",
    seq: 1,
    kind: "note",
    part: "",
  });
  await old.put("outbox", {
    key: "entry:e",
    what: "entry",
    hash: "e",
    id: "1",
    device: "d",
    at: 0,
    bytes: 2,
  });
  old.close();
  const d = await db();
  assert.equal((await d.get("entries", "e"))?.id, "1");
  assert.equal(await d.count("outbox"), 1);
  assert.equal(await d.count("pieces"), 0);
  await closeDB();
});
