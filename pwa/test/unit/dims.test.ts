import assert from "node:assert/strict";
import { test } from "node:test";
import type { Check, PhotoLocation, PhotoReading, Quantity, Verdict } from "../../src/bridge/types";
import { plan } from "../../src/screens/photo/dims";

// No page here: widths of texts are taken by their length.
(globalThis as unknown as { document: unknown }).document = {
  createElement: () => ({ getContext: () => null }),
  documentElement: { dataset: {} },
};

const reading = (quantity: Quantity, value_mm: number): PhotoReading =>
  ({ quantity, value_mm, U_mm: 0.1, how: "photo" }) as PhotoReading;
const check = (r: PhotoReading, verdict: Verdict, limit: Partial<Check["limit"]>): Check =>
  ({
    reading: r,
    U_mm: 0.1,
    verdict,
    limit: { quantity: r.quantity, source: "s", ...limit },
  }) as Check;

function diameters(least: Verdict, greatest: Verdict): { text: string; cls: string }[] {
  const mean = reading("head_d_mean", 3.18),
    min = reading("head_d_min", 3.07),
    max = reading("head_d_max", 3.3);
  const location = {
    what: "shop-head",
    nominal_mm: 2.38,
    centre_px: [400, 400],
    sheet_mm: [0, 0],
    radius_mm: 1.6,
    outline_px: [
      [360, 400],
      [400, 360],
      [440, 400],
      [400, 440],
    ],
    readings: [mean, min, max],
    checks: [check(min, least, { min_mm: 3.27 }), check(max, greatest, { max_mm: 4.17 })],
    governing: least === "within" ? 1 : 0,
    verdict: "",
    dash: "",
    probability: 1,
    clear: 1,
  } as unknown as PhotoLocation;
  const q = {
    locations: [location],
    verdicts: [least],
    tags: ["R1"],
    camera: undefined,
    view: { s: 1, x: 0, y: 0 },
    size: { w: 800, h: 800 },
    text: (r: PhotoReading, withU: boolean) => `${r.value_mm}${withU ? " ± 0.1" : ""}`,
  };
  const all = [undefined, 0].map((chosen) =>
    plan({ ...q, chosen }).values.filter((v) => v.text.startsWith("Ø")),
  );
  assert.deepEqual(
    all.map((v) => v.length),
    [1, 1],
  );
  return all.map(([v]) => ({ text: v!.text, cls: v!.cls }));
}

test("the diameter that makes the verdict is the one that is drawn in its colour", () => {
  assert.deepEqual(diameters("out", "within"), [
    { text: "Ø min 3.07", cls: "ph-out" },
    { text: "Ø min 3.07 ± 0.1", cls: "ph-out" },
  ]);
  assert.deepEqual(diameters("within", "too close"), [
    { text: "Ø max 3.3", cls: "ph-close" },
    { text: "Ø max 3.3 ± 0.1", cls: "ph-close" },
  ]);
});

test("within, the mean is drawn, in no verdict's colour", () => {
  assert.deepEqual(diameters("within", "within"), [
    { text: "Ø 3.18", cls: "" },
    { text: "Ø 3.18 ± 0.1", cls: "" },
  ]);
});
