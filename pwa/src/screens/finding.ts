// Plumbing for what measures: which entries do, and sizes as they are named.
import type { DataOf, Entry, KnownEntry, LocationView, Look, Quantity } from "../bridge/types";

export const isDiameter = (q: Quantity): boolean => /^(head|hole)_d_/.test(q);

export const ofKind = <K extends keyof DataOf>(
  entries: Entry[],
  kind: K,
): Extract<KnownEntry, { kind: K }>[] =>
  entries.filter((e) => e.kind === kind) as Extract<KnownEntry, { kind: K }>[];

/** The look that stands at a location; undefined: none. */
export const nowAt = (v: LocationView): Look | undefined => v.looks[v.now];

/** The finding that a look began with; undefined where only a hand gauge measured. */
export const findingOf = (
  v: LocationView,
  look: Look | undefined,
): Extract<KnownEntry, { kind: "finding" }> | undefined =>
  ofKind(v.entries, "finding").find((f) => f.id === look?.entries[0]);

/** A length that somebody typed: no more digits than that, and none lost. */
export const asTyped = (mm: number): string => `${Number(mm.toFixed(3))} mm`;

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
