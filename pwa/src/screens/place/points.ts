// What a plot shows: one point for each reading of a kind that counts, in the order it was made.
import type { Came, Entry, Plot, PlotMark } from "../../bridge/types";

export interface PlotPoint extends PlotMark {
  tag: string;
  at: number;
  location: string;
}

export function pointsOf(
  entries: Entry[],
  came: Record<string, Came>,
  of: Plot,
  tags: Map<string, string> = tagsOf(entries),
): PlotPoint[] {
  return entries
    .flatMap((e): PlotPoint[] => {
      const mark = came[e.id]?.points?.[of],
        l = e.location;
      return mark && l
        ? [{ ...mark, tag: tags.get(l) ?? "?", at: Date.parse(e.at), location: l }]
        : [];
    })
    .sort((a, b) => a.at - b.at);
}

function tagsOf(entries: Entry[]): Map<string, string> {
  const m = new Map<string, string>();
  for (const e of entries)
    if (e.kind === "location" && e.data.tag) m.set(e.location ?? e.id, e.data.tag);
  return m;
}

/** How many digits the figures of an axis need, which goes on by so much: 3.25 is not 3.3. */
export const digitsOf = (step: number): number =>
  [1, 2, 3].find((d) => Math.abs(step * 10 ** d - Math.round(step * 10 ** d)) < 1e-6) ?? 4;
