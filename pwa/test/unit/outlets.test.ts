import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { test } from "node:test";
import type { Check, Entry, LocationView, Summary } from "../../src/bridge/types";
import { w } from "../../src/words";
import { startGo, type GoSide } from "./go";
import { check, hand, hold, judged, place, view } from "./shapes";

// The record that every outlet tells, as the Go test wrote it: the app must be told the same.
interface Stands {
  tag: string;
  id: string;
  whole: string;
  headline: string;
  not_read: string[];
  quantity: string;
  value_mm: number;
  U_mm: number;
  verdict: string;
  min_mm: number;
  max_mm: number;
  source: string;
  set: string;
  own: string;
  chosen: string;
}

async function outlets(): Promise<{ go: GoSide; stands: Stands[] }> {
  const { stands, entries } = JSON.parse(await readFile("testdata/wire/outlets.json", "utf8")) as {
    stands: Stands[];
    entries: unknown[];
  };
  const go = await startGo();
  const kept = (await go.call("record.read", entries)).map((r) => r.entry!);
  assert.deepEqual(
    await go.call(
      "record.load",
      kept.map((e) => ({ raw: e.raw, hash: e.hash })),
    ),
    { damaged: [] },
  );
  return { go, stands };
}

/** What is compared of the check that governs. */
const governs = (c: Check | null | undefined) => ({
  quantity: c?.reading.quantity ?? "",
  value_mm: c?.reading.value_mm ?? 0,
  U_mm: c?.U_mm ?? 0,
  verdict: c?.verdict ?? "",
  min_mm: c?.limit.min_mm ?? 0,
  max_mm: c?.limit.max_mm ?? 0,
  source: c?.limit.source ?? "",
});
const wanted = (s: Stands) =>
  Object.fromEntries(
    (["quantity", "value_mm", "U_mm", "verdict", "min_mm", "max_mm", "source"] as const).map(
      (k) => [k, s[k]],
    ),
  );

test("a location's screen is told what the report says", async () => {
  const { go, stands } = await outlets();
  for (const s of stands) {
    const v: LocationView = await go.call("state.location", { id: s.id });
    hold(v, view, s.tag);
    const now = v.looks[v.now];
    assert.equal(v.location.tag, s.tag);
    assert.equal(v.location.whole ?? "", s.whole, s.tag);
    assert.equal(v.location.not_read ?? 0, s.not_read.length, s.tag);
    assert.equal(now?.headline ?? "open", s.headline, s.tag);
    if (now?.whole) assert.equal(w.headline(now.whole, now.missing.length), s.headline);
    assert.deepEqual(now?.missing.map((m) => m.what) ?? [], s.not_read, s.tag);
    assert.deepEqual(governs(now?.checks[now.governing]), wanted(s), s.tag);
    if (now) assert.equal(now.rows[0]![0], now.governing, `${s.tag}: its row comes first`);
    assert.deepEqual(
      [v.spec?.limit_set, v.spec?.own_limits?.name ?? "", v.origin],
      [s.set, s.own, s.chosen],
      s.tag,
    );
  }
});

test("lists are told the same", async () => {
  const { go, stands } = await outlets();
  const [project] = await go.call("state.projects", {});
  const parts = await go.call("state.parts", { id: project!.id });
  const places = (
    await Promise.all(parts.map((p) => go.call("state.part", { id: p.part.id })))
  ).flatMap((p) => p.places);
  assert.equal(places.length, stands.length);
  const work = await go.call("state.work", {});
  for (const s of stands) {
    const p = places.find((x) => x.location.id === s.id)!;
    hold(p, place, s.tag);
    assert.equal(p.now?.headline ?? "open", s.headline, s.tag);
    assert.deepEqual(p.now?.not_read ?? [], s.not_read, s.tag);
    assert.deepEqual(governs(p.now?.check), wanted(s), s.tag);
    assert.deepEqual([p.spec?.limit_set, p.spec?.own_limits?.name ?? ""], [s.set, s.own], s.tag);
    const item = work.find((x) => x.location === s.id);
    if (s.verdict === "out" || s.verdict === "too close") {
      assert.equal(item!.whole, s.whole, s.tag);
      assert.equal(item!.not_read ?? 0, s.not_read.length, s.tag);
      assert.deepEqual(governs(item!.check), wanted(s), s.tag);
    } else assert.equal(item, undefined, s.tag);
  }
  // What needs somebody comes first: out, too close, not all read, not measured, within.
  const order = [...places].sort((a, b) => a.urgency - b.urgency).map((p) => p.location.whole);
  assert.deepEqual(order, [
    ...["out", "out", "too close", "too close", "too close", "unread", "unread", "unread"],
    ...[undefined, "within"],
  ]);
});

test("what a finding came to is what judging it again comes to", async () => {
  const { go, stands } = await outlets();
  const finding = (e: Entry | undefined) => (e?.kind === "finding" ? e : undefined);
  let judgements = 0;
  for (const s of stands) {
    const v = await go.call("state.location", { id: s.id });
    const f = finding(v.entries.find((e) => e.id === v.looks[v.now]?.entries[0]));
    if (!f) continue;
    const j = await go.call("judge", {
      spec: f.data.spec,
      readings: f.data.readings ?? [],
      location: s.id,
    });
    hold(j, judged, s.tag);
    const { result, planned, answers_verdict: _a, suggest: _s, unlooked: _u, ...summary } = j;
    assert.deepEqual(planned, [], `${s.tag}: its part was not laid out`);
    assert.deepEqual(summary satisfies Summary, v.own[f.id], s.tag);
    assert.deepEqual(result.checks, f.data.result.checks, s.tag);
    judgements++;
  }
  assert.equal(judgements, 9);
});

test("a hand reading of one edge leaves the other's verdict", async () => {
  const { go, stands } = await outlets();
  const at = stands.find((s) => s.tag === "R4")!; // its nearest edge, 9.80, is too close by the shank
  const edge = (value_mm: number, of: object, from_shank: boolean) =>
    go.call("hand", {
      location: at.id,
      readings: [
        {
          quantity: "edge_distance",
          value_mm,
          U_mm: 0.05,
          how: "hand gauge",
          method: "c",
          of,
          from_shank,
        },
      ],
    });
  const near = await edge(9.8, { nearest: true }, true);
  hold(near, hand, "hand");
  assert.equal(near.then.headline, "within, 1 not read");
  assert.deepEqual(near.notes, []);
  const head = await edge(9.8, { nearest: true }, false);
  assert.equal(head.then.headline, "can't tell");
  assert.match(head.then.said[head.then.governing]!.settle!, /manufactured head or the empty hole/);
  const second = await edge(13.8, { reading: 5, name: "2nd" }, true);
  assert.equal(second.then.headline, "can't tell");
  hold(second.then.checks[second.then.governing], check, "check");
  assert.equal(second.then.checks[second.then.governing]!.reading.value_mm, 9.8);
  const other = await edge(12, { nearest: true }, true);
  assert.equal(other.then.headline, "can't tell", "both count");
  assert.match(other.notes.join(), /both count until it is measured by hand once more/);
});

test("a location without a limit's reading is headed alike here and in Go", async () => {
  const go = await startGo();
  const { verdicts } = await go.call("handbook", {});
  assert.deepEqual(verdicts, ["out", "too close", "unread", "within"]);
  assert.deepEqual(Object.keys(w.verdict).sort(), [...verdicts].sort());
});
