import assert from "node:assert/strict";
import { test } from "node:test";
import type { Entry, EntryKind, Location, Part, Project, WorkItem } from "../../src/bridge/types";
import { parse, startGo, wireEntries, wireState } from "./go";

// Members that each kind's data may have, as bridge/types names them: a member that Go writes and
// TypeScript does not know is a failure here.
const members: Record<EntryKind, string[]> = {
  device: ["name", "app", "key"],
  member: ["device", "what", "name", "role", "key", "before"],
  accepted: ["faults", "why"],
  project: ["name", "aircraft", "mark", "builder"],
  settings: ["units", "fractions", "paper", "limit_set", "authority"],
  card: [
    "sheet",
    "paper",
    "check_nominal_mm",
    "check_across_mm",
    "check_along_mm",
    "check_U_mm",
    "thickness_mm",
    "thickness_U_mm",
    "measured_with",
    "printed_at",
    "layouts_revision",
  ],
  study: [
    "device",
    "camera",
    "sheet",
    "layout",
    "kind",
    "size",
    "light",
    "calibration",
    "instrument",
    "identity",
    "objects",
    "result",
    "method",
    "photos",
  ],
  tool: ["name", "kind", "nose_mm", "length_mm", "body_mm", "narrow_mm", "reach_mm", "out"],
  part: ["name", "drawing", "layers", "spec", "closed", "like", "was"],
  layout: [
    "photo",
    "width_px",
    "height_px",
    "width_mm",
    "height_mm",
    "step_mm",
    "from",
    "all",
    "plan",
  ],
  preparation: ["items", "coats"],
  coupon: ["spec", "layers", "lot", "photo", "push", "feeler", "note"],
  order: ["locations", "check_every", "source"],
  shape: [
    "name",
    "kind",
    "state",
    "method",
    "values_mm",
    "stations",
    "U_mm",
    "base_U_mm",
    "width_mm",
    "length_mm",
    "target_mm",
    "tolerance_mm",
    "source",
    "instrument",
    "tweaks",
    "cracks",
    "result",
  ],
  limits: ["set", "own"],
  "laxer-limit": ["limit", "reference", "said"],
  location: ["tag", "pin", "spec", "out", "stray"],
  stage: ["stage", "step", "unreached"],
  filed: ["edge", "layer", "taken_mm"],
  shot: [
    "photo",
    "bytes",
    "media",
    "width_px",
    "height_px",
    "calibration",
    "layout",
    "locations",
    "camera",
    "taken_at",
    "refused",
  ],
  finding: [
    "shot",
    "spec",
    "readings",
    "result",
    "answers",
    "answers_verdict",
    "method",
    "crop",
    "marks",
    "places",
  ],
  gauge: ["finding", "spec", "instrument", "readings", "result", "photos"],
  disposition: ["finding", "action", "reason", "answer"],
  "drilled-out": ["finding", "reason", "drill_mm", "steps"],
  attempt: ["spec", "tool"],
  note: ["text", "photos", "finding"],
  decision: ["finding", "answer", "reason", "name", "number", "on_paper", "seen"],
  "sign-off": ["covers", "digest", "name", "number", "remark", "on_paper", "seen"],
  withdrawal: [],
};
const head = [
  "format",
  "id",
  "device",
  "seq",
  "prev",
  "at",
  "by",
  "role",
  "kind",
  "project",
  "part",
  "location",
  "supersedes",
  "why",
  "data",
];

test("every kind on the wire is known here, member by member", async () => {
  const seen = new Set<string>();
  for (const [name, raw] of await wireEntries()) {
    if (name.includes("unknown")) continue;
    const e: Entry = parse(raw);
    seen.add(e.kind);
    assert.ok(e.kind in members, `${name}: kind ${e.kind}`);
    for (const k of Object.keys(e)) assert.ok(head.includes(k), `${name}: member ${k}`);
    for (const k of Object.keys(e.data))
      assert.ok(members[e.kind].includes(k), `${name}: data.${k}`);
  }
  assert.deepEqual([...seen].sort(), Object.keys(members).sort());
});

test("the record of the wire adds up as testdata/wire/state.json says, in any order and twice over", async () => {
  const want = (await wireState()) as {
    hashes: Record<string, string>;
    projects: Project[];
    parts: { part: Part; counts: unknown; locations: Location[] }[];
    work: WorkItem[];
  };
  const raws = [...(await wireEntries()).values()];
  for (const order of [
    raws,
    [...raws].reverse(),
    [...raws.slice(9), ...raws.slice(0, 9), ...raws.slice(3, 6)],
  ]) {
    const go = await startGo();
    const read = await go.call(
      "record.read",
      order.map((r) => JSON.parse(r) as unknown),
    );
    const kept = read.map((r) => r.entry!);
    kept.forEach((e, i) => {
      assert.equal(e.raw, order[i], "canonical bytes are kept as they came");
      assert.equal(e.hash, want.hashes[e.id]);
    });
    assert.deepEqual(
      await go.call(
        "record.load",
        kept.map((e) => ({ raw: e.raw, hash: e.hash })),
      ),
      { damaged: [] },
    );
    assert.deepEqual(await go.call("state.projects", {}), want.projects);
    for (const p of want.parts) {
      const got = await go.call("state.part", { id: p.part.id });
      assert.deepEqual(got.part, p.part);
      assert.deepEqual(got.counts, p.counts);
      assert.deepEqual(
        got.places.map((x) => x.location),
        p.locations,
      );
    }
    const work = (await go.call("state.work", {})).map(
      ({ project: _p, part_name: _n, whole: _w, not_read: _r, check: _c, next: _n2, ...x }) => x,
    );
    assert.deepEqual(work, want.work);
    assert.deepEqual(await go.call("record.faults", {}), []);
  }
});

test("an entry whose bytes were changed on the disk is named and not used", async () => {
  const go = await startGo();
  const [raw] = [...(await wireEntries()).values()];
  const [r] = await go.call("record.read", [JSON.parse(raw!) as unknown]);
  const hash = r!.entry!.hash;
  assert.deepEqual(await go.call("record.load", [{ raw: raw!.replace("phone", "phane"), hash }]), {
    damaged: [hash],
  });
  assert.deepEqual(await go.call("state.projects", {}), []);
});

test("one that can't be read does not hold up the others", async () => {
  const go = await startGo();
  const [raw] = [...(await wireEntries()).values()];
  const read = await go.call("record.read", [{ format: 1 }, JSON.parse(raw!) as unknown]);
  assert.ok(read[0]!.refusal?.code);
  assert.ok(read[1]!.entry);
});
