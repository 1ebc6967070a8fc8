import assert from "node:assert/strict";
import { test } from "node:test";
import type { Draft } from "../../src/bridge/types";
import { Refused } from "../../src/bridge/client";
import { startGo } from "./go";

// A photo of a rivet that was drilled out is not taken for the one in its place, and one that is older
// is asked about.

const old = "a".repeat(64),
  fresh = "b".repeat(64);

test("a photo of the rivet before", async () => {
  const go = await startGo();
  const clock_ms = Date.UTC(2026, 10, 13, 9);
  const about = { project: "@0", part: "@1", location: "@2" };
  const finding = (photo: string): Draft => ({
    kind: "finding",
    ...about,
    data: {
      spec: { kind: "shop-head", nominal_mm: 4.7625 },
      readings: [
        { quantity: "head_d_mean", value_mm: 7.4, U_mm: 0.1, how: "photo", method: "m", photo },
      ],
      result: { checks: null, verdict: "" },
    },
  });
  const made = await go.call("record.make", {
    device: "01936b00-0000-7000-8000-000000000001",
    by: "Ines Sorel",
    role: "builder",
    seq: 0,
    prev: "",
    clock_ms,
    drafts: [
      { kind: "project", data: { name: "Tarn 2" } },
      { kind: "part", project: "@0", data: { name: "Angle" } },
      { kind: "location", project: "@0", part: "@1", data: { tag: "R1" } },
      finding(old),
      { kind: "drilled-out", ...about, data: { finding: "@3" } },
      finding(fresh),
    ],
  });
  await go.call(
    "record.load",
    made.map((e) => ({ raw: e.raw, hash: e.hash })),
  );
  const [project, , location] = made.map((e) => e.id);
  const asked = (photo: string, taken: string) =>
    go.call("dates", {
      project: project!,
      clock_ms: clock_ms + 60_000,
      photo,
      taken,
      locations: [location!],
    });
  await assert.rejects(
    asked(old, "2026:11:13 08:00:00"),
    (e) => e instanceof Refused && e.refusal.code === "same-photo" && e.refusal.text.includes("R1"),
  );
  assert.deepEqual(await asked(fresh, "2026:11:13 09:00:30"), []);
  assert.match((await asked(fresh, "2026:11:12 12:00:00")).join(), /before the rivet that stood/);
});
