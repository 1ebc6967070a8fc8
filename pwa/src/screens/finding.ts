// What of a finding is shown where there is room for one thing: the check that decides.
import type {
  Check,
  DataOf,
  Entry,
  KnownEntry,
  Location,
  Quantity,
  Reading,
  Verdict,
} from "../bridge/types";

const weight: Record<Verdict, number> = { out: 2, "too close": 1, within: 0 };
const rank: Quantity[] = [
  "head_d_mean",
  "hole_d_mean",
  "head_d_min",
  "head_d_max",
  "hole_d_min",
  "hole_d_max",
  "edge_distance",
  "pitch",
  "mandrel_off",
  "out_of_round",
  "head_height",
];

export const isDiameter = (q: Quantity): boolean => /^(head|hole)_d_/.test(q);
const order = (q: Quantity): number => rank.indexOf(q);

/** The check that made the verdict, nearest the head first. */
export function deciding(checks: Check[] | null | undefined): Check | undefined {
  return [...(checks ?? [])].sort(
    (a, b) =>
      weight[b.verdict] - weight[a.verdict] ||
      order(a.reading.quantity) - order(b.reading.quantity),
  )[0];
}

/** What one row shows: what is wrong, else the diameter. U is that of the decision where there is one. */
export function headline(
  checks: Check[] | null | undefined,
  readings: Reading[] | undefined,
): { quantity: Quantity; mm: number; u: number } | undefined {
  const d = deciding(checks);
  if (d && d.verdict !== "within")
    return { quantity: d.reading.quantity, mm: d.reading.value_mm, u: d.U_mm };
  const r = [...(readings ?? [])].sort((a, b) => order(a.quantity) - order(b.quantity))[0];
  return r && { quantity: r.quantity, mm: r.value_mm, u: r.U_mm };
}

/** Checks of the same quantity and value belong together: the worst of them speaks. */
export interface CheckGroup {
  quantity: Quantity;
  worst: Check;
  all: Check[];
}
export function groups(checks: Check[] | null | undefined): CheckGroup[] {
  const out: CheckGroup[] = [];
  for (const c of checks ?? []) {
    const g = out.find(
      (o) => o.quantity === c.reading.quantity && o.worst.reading.value_mm === c.reading.value_mm,
    );
    if (!g) out.push({ quantity: c.reading.quantity, worst: c, all: [c] });
    else {
      g.all.push(c);
      if (weight[c.verdict] > weight[g.worst.verdict]) g.worst = c;
    }
  }
  return out.sort(
    (a, b) =>
      weight[b.worst.verdict] - weight[a.worst.verdict] || order(a.quantity) - order(b.quantity),
  );
}

export const ofKind = <K extends keyof DataOf>(
  entries: Entry[],
  kind: K,
): Extract<KnownEntry, { kind: K }>[] =>
  entries.filter((e) => e.kind === kind) as Extract<KnownEntry, { kind: K }>[];

/** Findings and hand readings by their entry's id. */
export function findings(
  entries: Entry[],
): Map<string, Extract<KnownEntry, { kind: "finding" | "gauge" }>> {
  return new Map(
    entries.flatMap((e) =>
      e.kind === "finding" || e.kind === "gauge" ? [[e.id, e] as const] : [],
    ),
  );
}

/** How the worst of two or more stands. */
export const worst = (vs: (Verdict | "" | undefined)[]): Verdict | "" =>
  vs.reduce<Verdict | "">((a, b) => (b && (!a || weight[b] > weight[a]) ? b : a), "");

/** A size as builders write it: the tables' name for a nominal diameter. */
export function sizeName(
  mm: number,
  solid: { nominal_mm: number; fraction: string }[] = [],
  pulled: { nominal_mm: number; size: string }[] = [],
): string | undefined {
  const near = (a: number): boolean => Math.abs(a - mm) < 0.011;
  const s = solid.find((r) => near(r.nominal_mm));
  if (s) return `${s.fraction}`;
  return pulled.find((r) => near(r.nominal_mm))?.size;
}

/** The checks that stand at a location: its finding's, with those of later hand readings in place of the same limits. */
export function standing(
  l: Location,
  known: ReturnType<typeof findings>,
): { checks: Check[]; readings: Reading[] } | undefined {
  const f = l.finding ? known.get(l.finding) : undefined;
  if (!f) return undefined;
  const ids = l.attempts[l.attempt - 1]?.findings ?? [];
  let checks = [...(f.data.result.checks ?? [])];
  for (const id of ids.slice(ids.indexOf(f.id) + 1)) {
    const by = known.get(id)?.data.result.checks ?? [];
    checks = [
      ...checks.filter(
        (c) =>
          !by.some(
            (n) => n.limit.quantity === c.limit.quantity && !!n.limit.min_mm === !!c.limit.min_mm,
          ),
      ),
      ...by,
    ];
  }
  return { checks, readings: f.data.readings ?? [] };
}
