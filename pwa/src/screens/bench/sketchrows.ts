// Where dimension lines go beside a drawing, so that no text lies on another one or on an arrow.

export interface Dim {
  side: "above" | "below" | "left" | "right";
  /** How far from the part it is meant to be, 0 the nearest. */
  rank: number;
  /** Its ends along the line, px, a before b. */
  a: number;
  b: number;
  text: string;
  /** It begins at the drawing's left end: where its text does not fit in, it stands before it. */
  first: boolean;
}

export interface Row {
  rank: number;
  /** The middle of the text along the line, px. */
  text: number;
  /** Arrows and text between the ends. */
  inside: boolean;
  fits: boolean;
}

export const ARROW = 9,
  TAIL = 16;
/** How high a line of text is, px. */
const HIGH = 15;
export const wide = (text: string): number => 7.6 * text.length + 6;

export function rowsOf(dims: Dim[]): Row[] {
  const rows: Row[] = [];
  // The nearer ones first: what is meant to stand outside stays there.
  for (const [n, d] of [...dims.entries()].sort(([, x], [, y]) => x.rank - y.rank)) {
    const level = d.side === "above" || d.side === "below",
      w = wide(d.text),
      room = d.b - d.a,
      inside = room >= 2 * ARROW + 8,
      fits = level && room >= w + 2 * ARROW + 4,
      middle = (d.a + d.b) / 2;
    const beside = rows
      .map((r, i) => ({ ...r, d: dims[i]! }))
      .filter((r) => r.d.side === d.side && r.d.b - r.d.a >= 0.5);
    if (!level) {
      let text = middle;
      for (const o of beside.filter((r) => r.rank === d.rank))
        if (Math.abs(text - o.text) < HIGH) text = o.text + (text < o.text ? -HIGH : HIGH);
      rows[n] = { rank: d.rank, text, inside, fits };
      continue;
    }
    const text = fits ? middle : d.first ? d.a - TAIL - w / 2 + 6 : d.b + TAIL + w / 2 - 6;
    const row: Row = { rank: d.rank, text, inside, fits };
    while (beside.some((o) => o.rank === row.rank && meet(row, d, o, o.d))) row.rank++;
    rows[n] = row;
  }
  return rows;
}

/** Whether the text of either lies on the text or the line of the other. */
const meet = (r: Row, d: Dim, o: Row, e: Dim): boolean => {
  const line = (x: Row, y: Dim): [number, number] =>
      x.inside ? [y.a, y.b] : [y.a - TAIL, y.b + TAIL],
    text = (x: Row, y: Dim): [number, number] => [
      x.text - wide(y.text) / 2,
      x.text + wide(y.text) / 2,
    ],
    on = (p: [number, number], q: [number, number]): boolean =>
      Math.min(p[1], q[1]) - Math.max(p[0], q[0]) > 1;
  return on(text(r, d), text(o, e)) || on(text(r, d), line(o, e)) || on(line(r, d), text(o, e));
};
