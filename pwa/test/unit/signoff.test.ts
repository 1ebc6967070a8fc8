import assert from "node:assert/strict";
import { test } from "node:test";
import type { Part } from "../../src/bridge/types";
import { signStands } from "../../src/screens/signoff";

// Before it is worked out how a sign-off stands nothing is said of it: no list may call a part
// signed for the moment until it is found outdated.
test("a sign-off whose state is not known yet", () => {
  const part = {
    sign_offs: [{ entry: "s", at: "2026-11-17T21:13:00Z", name: "E. Salo" }],
  } as unknown as Part;
  assert.equal(signStands(part, undefined), undefined);
  assert.equal(signStands(part, {}), undefined);
  assert.equal(signStands(part, { s: {} })?.bad, "");
  assert.match(signStands(part, { s: { since: ["n"] } })!.bad, /^Sign-off outdated: 1 entry since/);
  assert.match(signStands(part, { s: { against: ["d"] } })!.bad, /1 decision against it/);
  assert.equal(signStands({} as Part, { s: {} }), undefined);
});
