import assert from "node:assert/strict";
import { test } from "node:test";
import { digitsOf } from "../../src/screens/place/points";

test("an axis has the digits that its step needs", () => {
  for (const [step, digits] of [
    [1, 1],
    [0.5, 1],
    [0.25, 2],
    [0.1, 1],
    [0.05, 2],
    [0.025, 3],
    [0.02, 2],
    [0.005, 3],
    [0.0025, 4],
  ] as const) {
    assert.equal(digitsOf(step), digits, `${step}`);
    for (let n = 1; n < 40; n++)
      assert.ok(
        Math.abs(Number((n * step).toFixed(digitsOf(step))) - n * step) < 1e-9,
        `${n} × ${step}`,
      );
  }
});
