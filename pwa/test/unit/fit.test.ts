import assert from "node:assert/strict";
import { test } from "node:test";
import { cut } from "../../src/screens/kit/fit";

test("a title is cut between words, and within one where none is left whole", () => {
  const name = "Corner gusset, aft left";
  for (const [half, want] of [
    [11, "Corner … aft left"],
    [10, "Corner … aft left"],
    [8, "Corner … aft left"],
    [6, "Corner … left"],
    [4, "Corn … left"],
    [3, "Cor … eft"],
  ] as const)
    assert.equal(cut(name, half), want);
  assert.equal(cut("Baggagehatchframe", 5), "Bagga … frame");
});
