import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { test } from "node:test";
import type { Document } from "../../src/bridge/types";
import { Refused } from "../../src/bridge/client";
import { startGo } from "./go";
import { hold, limit, point, reading, summary, type Shape } from "./shapes";

// A measured document.
const shape: Shape = {
  photo: "string",
  "sha256?": "string",
  "width?": "number",
  "height?": "number",
  "taken?": "string",
  method: "string",
  spec: { kind: "string", nominal_mm: "number" },
  scale: {
    from: "string",
    "layout?": "string",
    "targets?": "number",
    residual_px: "number",
    tilt_deg: "number",
    distance_mm: "number",
    mm_per_px: "number",
    camera: {
      focal_px: "number",
      cx_px: "number",
      cy_px: "number",
      k1: "number",
      r: [["number"]],
      t: ["number"],
    },
    "card_px?": [point],
    "window_px?": [point],
  },
  "camera?": "string",
  "proven?": {
    study: "string",
    device: "string",
    "camera?": "string",
    "sheet?": "string",
    "layout?": "string",
    kind: "string",
    factor: "number",
    "other?": "boolean",
  },
  "next?": { from: "string", tilt_deg: "number", card_px: [point] },
  locations: [
    {
      what: "string",
      dash: "string",
      nominal_mm: "number",
      centre_px: point,
      sheet_mm: point,
      radius_mm: "number",
      outline_px: [point],
      "handles_px?": [point],
      "by_hand?": "boolean",
      "hand?": "string",
      probability: "number",
      clear: "number",
      ...summary,
      readings: [
        {
          ...reading,
          "edge_px?": [point],
          "per_mm_up?": "number",
          "to_px?": point,
          "to?": "number",
        },
      ],
      "unread?": [limit],
      "notes?": ["string"],
      "ask?": { code: "string", text: "string", do: "string" },
    },
  ],
  "edges_px?": [[point]],
  warnings: [{ code: "string", text: "string" }],
  problems: [{ code: "string", text: "string", do: "string" }],
};

test("a measured document has the form that bridge/types says", async () => {
  const go = await startGo();
  const steps: string[] = [];
  (globalThis as Record<string, unknown>)["bucktailProgress"] = (s: string) => steps.push(s);
  const b = await readFile("testdata/photos/dev-08.jpg");
  const bytes = b.buffer.slice(b.byteOffset, b.byteOffset + b.length) as ArrayBuffer;
  const doc: Document = await go.call(
    "measure",
    {
      spec: { kind: "shop-head", nominal_mm: 4.7625 },
      size: "6",
      photo: "dev-08.jpg",
      device: "phone",
      proofs: [
        { study: "s", device: "phone", camera: "Synthetic Render", kind: "shop-head", factor: 2 },
      ],
    },
    { bytes },
  );
  hold(doc, shape, "document");
  assert.ok(doc.locations.length > 0 && doc.locations.some((l) => l.readings.length > 0));
  // A gauge study with another card counts until there is one with this.
  assert.deepEqual([doc.proven?.study, doc.proven?.other], ["s", true]);
  for (const r of doc.locations.flatMap((l) => l.readings))
    assert.deepEqual(r.grown, { study: "s", factor: 2, U_mm: r.U_mm / 2 });
  assert.deepEqual(steps, ["decode", "card", "outlines", "edges"]);
  const taken = await go.call("take", {}, { bytes });
  assert.equal(taken.sha256, doc.sha256);
  assert.deepEqual([taken.media, taken.bytes], ["image/jpeg", b.length]);
});

test("HEIC is recognised by its content and told what to change", async () => {
  const go = await startGo();
  // The first box of a HEIC file: size, "ftyp", brand "heic" (ISO/IEC 14496-12, 23008-12).
  const heic = new Uint8Array([
    0,
    0,
    0,
    24,
    ...Buffer.from("ftypheic"),
    0,
    0,
    0,
    0,
    ...Buffer.from("mif1heic"),
    ...new Array<number>(64).fill(0),
  ]);
  await assert.rejects(
    go.call("take", {}, { bytes: heic.buffer }),
    (e: unknown) =>
      e instanceof Refused &&
      e.refusal.do.length > 10 &&
      /heic|heif/i.test(e.refusal.code + e.refusal.text),
  );
});

test("a misspelt option is a fault, not a silence", async () => {
  const go = await startGo();
  await assert.rejects(
    go.call("measure", { spec: { kind: "shop-head", nominal_mm: 4 }, tap: [[1, 2]] } as never, {
      bytes: new ArrayBuffer(4),
    }),
    /tap/,
  );
});
