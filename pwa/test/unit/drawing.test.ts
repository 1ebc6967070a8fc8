import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { test } from "node:test";
import { Refused } from "../../src/bridge/client";
import type { Drawing, DrawScene, DrawView, Point } from "../../src/bridge/types";
import { Ink } from "../../src/screens/photo/ink";
import { meant, moved, toPhoto, toScreen } from "../../src/screens/photo/view";
import { startGo } from "./go";

// What Go plans is what is shown: no line, no place and no ink comes from here.

const go = await startGo();
const bytes = new Uint8Array(await readFile("testdata/photos/dev-16.jpg")).buffer;
const document = await go.call(
  "measure",
  { spec: { kind: "shop-head", nominal_mm: 2.38125 } },
  { bytes },
);
const how = {
  units: "mm",
  fractions: false,
  text_size: 15,
  heavier: 0,
  widths: Object.fromEntries([..." 0123456789.±Ømaxin"].map((c) => [c, 0.6])),
} as const;
const scene: DrawScene = { ...how, document, tags: document.locations.map((_, i) => `R${i + 7}`) };
const size: [number, number] = [390, 388];

async function drawn(
  of: string,
  chosen: number,
  told?: DrawScene,
): Promise<{ d: Drawing; view: DrawView }> {
  const frame = await go.call("drawing.frame", { of, chosen, size, ...(told && { scene: told }) });
  const s = Math.min(size[0] / frame.w, size[1] / frame.h);
  const view = { s, x: -frame.x * s, y: -frame.y * s };
  return { d: await go.call("drawing", { of, chosen, size, view, covered: [] }), view };
}

interface Node {
  type: string | ((p: unknown) => unknown);
  props: Record<string, unknown> & { children?: unknown };
}
/** The elements that a component comes to, in the order in which they are painted. */
function elements(n: unknown): Node[] {
  if (Array.isArray(n)) return n.flatMap(elements);
  if (!n || typeof n !== "object") return [];
  const node = n as Node;
  if (typeof node.type === "function" && node.type.name !== "Fragment" && node.type.length > 0) {
    const out = node.type(node.props);
    if (out !== node.props.children) return elements(out);
  }
  return [...(typeof node.type === "string" ? [node] : []), ...elements(node.props.children)];
}
const numbers = (d: unknown): number[] =>
  String(d)
    .match(/-?[\d.]+/g)!
    .map(Number);

for (const chosen of [0, 2])
  test(`every line, value and tag is shown as planned, ${chosen ? "one chosen" : "all"}`, async () => {
    const { d } = await drawn(`ink ${chosen}`, chosen, scene);
    assert.ok(d.lines.length > 20 && d.values.length > 2, JSON.stringify(d).slice(0, 200));
    const all = elements(Ink({ d }));
    const halos = all.filter((n) => n.props["class"] === "halo"),
      lines = all.filter((n) => /^(line|head-fill) /.test(String(n.props["class"])));
    assert.deepEqual(
      halos.map((n) => numbers(n.props["d"])),
      d.lines.map((l) => l.points),
    );
    assert.deepEqual(
      lines.map((n) => [numbers(n.props["d"]), n.props["stroke-width"]]),
      d.lines.map((l) => [l.points, l.width]),
    );
    const inks = {
      out: "ph-out",
      "too close": "ph-close",
      within: "ph-within",
      pencil: "ph-pencil",
    };
    assert.deepEqual(
      lines.map((n) => String(n.props["class"]).split(" ")[1]),
      d.lines.map((l) => (l.ink ? inks[l.ink] : "")),
    );
    assert.deepEqual(
      all.filter((n) => n.type === "text").map((n) => n.props.children),
      [...d.values, ...d.tags].map((v) => v.text),
    );
    // Halos under ink, ink under values, values under tags.
    const order = ["halo", "line", "head-fill", "dimtext", "tagtext"].map((c) =>
      all.flatMap((n, i) => (String(n.props["class"]).startsWith(c) ? [i] : [])),
    );
    assert.ok(Math.max(...order[0]!) < Math.min(...order[1]!, ...order[2]!));
    assert.ok(Math.max(...order[1]!, ...order[2]!) < order[3]![0]!);
    assert.ok(order[3]!.at(-1)! < order[4]![0]!);
    // With one chosen, its values alone, with U, and its tag marked.
    assert.equal(d.tags.length, chosen ? 1 : document.locations.length);
    assert.equal(d.tags[0]!.chosen ?? false, chosen > 0);
    for (const v of d.values) assert.equal(v.text.includes(" ± "), chosen > 0, v.text);
  });

test("outlines lie where the photo shows them, also while an old drawing is moved along", async () => {
  const { d, view } = await drawn("outlines", 0, scene);
  const outline = d.lines.filter((l) => l.role === "outline");
  // Lines of a verdict come last, so that outlines are not in the document's order.
  for (const l of document.locations) {
    const want = l.outline_px!.map((p) => toScreen(view, p));
    const near = outline.some((o) =>
      want.every(([x, y], i) => Math.hypot(o.points[2 * i]! - x, o.points[2 * i + 1]! - y) < 0.02),
    );
    assert.ok(near, `no outline about ${l.centre_px}`);
  }
  const p: Point = [1200.5, 830.25];
  assert.ok(toPhoto(view, toScreen(view, p)).every((x, i) => Math.abs(x - p[i]!) < 1e-9));
  assert.equal(moved(view, view), undefined);
  const to = { s: view.s * 1.7, x: -20, y: 33 };
  const [tx, ty, k] = numbers(moved(view, to)) as [number, number, number];
  const [a, b] = [toScreen(view, p), toScreen(to, p)];
  assert.ok(Math.hypot(tx + a[0] * k - b[0], ty + a[1] * k - b[1]) < 1e-9);
});

test("a finger means the head or the tag under it", async () => {
  const { d, view } = await drawn("finger", 0, scene);
  document.locations.forEach((l, i) => assert.equal(meant(d, toScreen(view, l.centre_px)), i));
  for (const t of d.tags) assert.equal(meant(d, [t.box[0] + 2, t.box[3] - 2]), t.of);
  assert.equal(meant(d, [-500, -500]), -1);
});

test("a scene is kept, and asked for where it is another one", async () => {
  await drawn("first", 0, scene);
  await drawn("first", 1);
  await assert.rejects(
    drawn("second", 0),
    (e) => e instanceof Refused && e.refusal.code === "not-at-hand",
  );
});

test("findings are drawn from what the record keeps of them", async () => {
  const places = await go.call("places", document);
  const looks = document.locations.map((l, i) => ({
    places: places[i]!,
    spec: document.spec,
    readings: l.readings.map(({ edge_px: _e, to_px: _p, to: _t, ...r }) => ({
      ...r,
      later: "a member that this version does not know",
    })),
    checks: l.checks,
    judged: l.checks,
    whole: l.whole,
  }));
  const kept = await drawn("kept", 1, { ...how, looks, tags: ["R7"] });
  const { d } = await drawn("measured", 1, scene);
  assert.deepEqual(
    kept.d.values.map((v) => [v.text, v.ink]),
    d.values.map((v) => [v.text, v.ink]),
  );
  assert.equal(kept.d.tags[0]!.text, "R7");
});

test("an outline that a hand places goes through its sides", async () => {
  const { camera } = document.scale!,
    l = document.locations[0]!;
  const [, ...sides] = l.handles_px!;
  sides[0] = [sides[0][0] + 12, sides[0][1]];
  const ps = await go.call("drawing.ring", {
    camera,
    what: l.what,
    nominal_mm: l.nominal_mm,
    sides,
  });
  assert.equal(ps.length, 64);
  const right = Math.max(...ps.map((p) => p[0])),
    left = Math.min(...ps.map((p) => p[0])),
    bottom = Math.max(...ps.map((p) => p[1])),
    top = Math.min(...ps.map((p) => p[1]));
  for (const [drawn, at] of [
    [right, sides[0][0]],
    [bottom, sides[1][1]],
    [left, sides[2][0]],
    [top, sides[3][1]],
  ] as const)
    assert.ok(Math.abs(drawn - at) < 1, `${drawn} for ${at}`);
});
