// What a plot shows: one point for each reading of a kind, in the order it was made.
import type { Check, Entry, Quantity, Verdict } from "../../bridge/types";
import { findings } from "../finding";

export interface PlotPoint {
  tag: string;
  at: number;
  mm: number;
  u: number;
  verdict: Verdict | undefined;
  min: number | undefined;
  max: number | undefined;
  location: string;
}
export type PlotOf = "head" | "hole" | "edge";

const quantities: Record<PlotOf, Quantity[]> = {
  head: ["head_d_mean"],
  hole: ["hole_d_mean"],
  edge: ["edge_distance"],
};
const limits: Record<PlotOf, RegExp> = { head: /^head_d/, hole: /^hole_d/, edge: /^edge_distance/ };

export function pointsOf(
  entries: Entry[],
  of: PlotOf,
  tags: Map<string, string> = tagsOf(entries),
): PlotPoint[] {
  const out: PlotPoint[] = [];
  const gone = new Set(entries.flatMap((e) => e.supersedes ?? []));
  for (const f of findings(entries).values()) {
    if (gone.has(f.id) || !f.location) continue;
    const r = (f.data.readings ?? [])
      .filter((x) => quantities[of].includes(x.quantity))
      .sort((a, b) => a.value_mm - b.value_mm)[0];
    if (!r) continue;
    const checks = (f.data.result.checks ?? []).filter((c) => limits[of].test(c.limit.quantity));
    const pick = (get: (c: Check) => number | undefined): number | undefined =>
      checks.map(get).find((x) => x);
    const rank: Verdict[] = ["out", "too close", "within"];
    out.push({
      tag: tags.get(f.location) ?? "?",
      at: Date.parse(f.at),
      mm: r.value_mm,
      u: r.U_mm,
      verdict: rank.find((v) =>
        checks.some(
          (c) =>
            (c.verdict === v && c.reading.value_mm === r.value_mm) ||
            (of !== "edge" && c.verdict === v),
        ),
      ),
      min: pick((c) => c.limit.min_mm),
      max: pick((c) => c.limit.max_mm),
      location: f.location,
    });
  }
  return out.sort((a, b) => a.at - b.at);
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
