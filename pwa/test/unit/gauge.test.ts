import assert from "node:assert/strict";
import { test } from "node:test";
import { gaugeable } from "../../src/screens/place/gaugeable";

test("by hand is offered what there is: a plain hole has no head", () => {
  const of = (start: string, ...x: Parameters<typeof gaugeable>): boolean =>
    gaugeable(...x).some((q) => q.startsWith(start));
  assert.equal(of("head", "hole", false), false);
  assert.equal(of("head", "hole", true), false); // a hole that waits for its rivet
  assert.equal(of("hole", "hole", false), true);
  assert.equal(of("hole", "shop-head", false), true); // nobody knows yet what stands there
  assert.equal(of("hole", "shop-head", true), false);
  assert.equal(of("mandrel", "shop-head", false) || of("mandrel", "hole", false), false);
  assert.equal(of("mandrel", "pulled-head", false), true);
});
