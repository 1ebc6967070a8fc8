import assert from "node:assert/strict";
import { test } from "node:test";
import type { Entry } from "../../src/bridge/types";
import { decided } from "../../src/screens/inspector/decided";

// Where inspectors decided apart, the one who decides next sees all of it, the strictest first, and
// not the latest alone.
test("decisions that did not know of one another", () => {
  const entries = [
    {
      kind: "decision",
      data: { finding: "f", answer: "rejected", name: "A. Eins", reason: "crack" },
    },
    { kind: "decision", data: { finding: "f", answer: "confirmed", name: "B. Zwei" } },
  ] as Entry[];
  const said = decided(
    {
      decision: "rejected",
      disagree: [
        { entry: "1", at: "", name: "A. Eins", answer: "rejected", reason: "crack" },
        { entry: "2", at: "", name: "B. Zwei", answer: "confirmed" },
      ],
    },
    entries,
  );
  assert.match(said[0]!, /did not know/);
  assert.deepEqual(said.slice(1), ["A. Eins: rejected. Crack.", "B. Zwei: confirmed."]);
  assert.match(
    decided({ decision: "confirmed" }, entries).join(),
    /^Decided: confirmed, by B. Zwei/,
  );
  assert.deepEqual(decided({}, entries), []);
});
