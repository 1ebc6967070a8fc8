import assert from "node:assert/strict";
import test from "node:test";

// Dates have their year; a time that was written in another zone has this device's beside it.

process.env["TZ"] = "Europe/Lisbon"; // UTC+1 in July, UTC in January
const { day, time } = await import("../../src/screens/dates"); // the formats take the zone they find

test("a date has its year", () => {
  assert.equal(day("2026-07-02T10:20:00+01:00"), "2 Jul 2026");
});

test("a time of this device's zone stands alone, one of another has the zone", () => {
  assert.equal(time("2026-07-02T10:20:00+01:00"), "2 Jul 2026, 10:20");
  assert.equal(time("2026-07-02T10:20:00+02:00"), "2 Jul 2026, 09:20 UTC+1");
  assert.equal(time("2026-07-02T04:50:00-05:30"), "2 Jul 2026, 11:20 UTC+1");
  assert.equal(time("2026-01-02T10:20:00Z"), "2 Jan 2026, 10:20");
  assert.equal(time("2026-07-02T10:20:00Z"), "2 Jul 2026, 11:20 UTC+1");
});
