import assert from "node:assert/strict";
import { test } from "node:test";
import { fraction, number, value, withU } from "../../src/bridge/show";
import type { ShowIn } from "../../src/bridge/types";
import { startGo } from "./go";

test("lengths are shown as the Go side shows them", async () => {
  const go = await startGo();
  const ask: ShowIn[] = [];
  const add = (mm: number, u: number): void => {
    for (const units of ["mm", "in"] as const) ask.push({ units, mm, u_mm: u });
  };
  // Exact sizes of the trade, halves of the last digit, small and negative ones, and a sweep with no
  // pattern in it (a linear congruential generator, so that a failure can be had again).
  for (let n = -80; n <= 160; n++) add((n * 25.4) / 64, 0.01);
  for (let n = -50; n <= 50; n++) (add(n * 0.005, n * 0.0005), add(3.125 + n * 0.01, 0.004));
  for (const v of [3.175, 7.9375, 1.005, 0.0254, 2.675, -0.004, 0, 1e-9, 1234.5678]) add(v, 1e-6);
  let x = 12345;
  for (let i = 0; i < 4000; i++) {
    x = (1103515245 * x + 12345) % 2147483648;
    add((x / 2147483648) * 40 - 5, x / 2147483648 / 3);
  }
  const told = await go.call("show", ask);
  ask.forEach((a, i) => {
    const t = told[i]!;
    assert.equal(number(a.units, a.mm), t.number, JSON.stringify(a));
    assert.equal(value(a.units, a.mm), t.value);
    assert.equal(withU(a.units, a.mm, a.u_mm!), t.with_u, JSON.stringify(a));
    assert.equal(fraction(a.mm), t.fraction, JSON.stringify(a));
  });
});

test("the handbook's own examples", () => {
  // qc/unit.go: 1/8 in is 3.175 mm and shown as 3.18; 5/16 in as 0.313.
  assert.equal(value("mm", 3.175), "3.18 mm");
  assert.equal(value("in", (25.4 * 5) / 16), "0.313 in");
  assert.equal(withU("mm", 4.76, 0.0001), "4.76 ± 0.01 mm");
  assert.equal(fraction((25.4 * 11) / 64 + 0.0762), "11/64 + 0.003 in");
  assert.equal(number("mm", -1.5), "\u22121.50");
});
