import assert from "node:assert/strict";
import { test } from "node:test";
import { rowsOf, wide, type Dim } from "../../src/screens/bench/sketchrows";

// A gusset corner's 80 mm at 0.93 px/mm: the pitch's text would lie on the arrows of the end.
test("dimensions that would lie on one another stand farther out", () => {
  const d = (rank: number, a: number, b: number, text: string, first = false): Dim => ({
    side: "above",
    rank,
    a,
    b,
    text,
    first,
  });
  const dims = [
    d(1, 0, 74, "80.00", true),
    d(0, 0, 7.4, "8.00", true),
    d(0, 7.4, 27, "21.33"),
    d(0, 66.6, 74, "8.00"),
  ];
  const rows = rowsOf(dims);
  assert.deepEqual(
    rows.map((r) => r.rank),
    [2, 0, 0, 1],
  );
  for (const [i, r] of rows.entries())
    for (const [j, o] of rows.entries())
      if (i < j && r.rank === o.rank)
        assert.ok(
          Math.abs(r.text - o.text) >= (wide(dims[i]!.text) + wide(dims[j]!.text)) / 2 - 1,
          `${dims[i]!.text} on ${dims[j]!.text}`,
        );
  // With room for all of them they stay where they were meant to be.
  const wider = dims.map((x) => ({ ...x, a: 12 * x.a, b: 12 * x.b }));
  assert.deepEqual(
    rowsOf(wider).map((r) => r.rank),
    [1, 0, 0, 0],
  );
});

test("texts beside upright dimensions keep a line's height apart", () => {
  const rows = rowsOf(
    [
      [0, 14.5, "15.50"],
      [14.5, 23.4, "9.50"],
    ].map(([a, b, text]) => ({
      side: "right" as const,
      rank: 0,
      a: a as number,
      b: b as number,
      text: text as string,
      first: false,
    })),
  );
  assert.equal(rows[1]!.text - rows[0]!.text, 15);
});
