// The drawing's own limits as they are typed, and as the record has them.
import type { Kind, OwnLimit, OwnLimits } from "../../bridge/types";

export interface RowDraft {
  quantity: string;
  least: string;
  greatest: string;
  unit: "mm" | "in" | "d";
  reference: string;
}

export const freshRow: RowDraft = {
  quantity: "head_d",
  least: "",
  greatest: "",
  unit: "mm",
  reference: "",
};

const num = (s: string): number => Number(s.replace(",", ".")) || 0;

export function toOwn(
  name: string,
  reference: string,
  rows: RowDraft[],
  kind: Kind | undefined,
): OwnLimits | undefined {
  const limits: OwnLimit[] = rows
    .filter((r) => r.least.trim() || r.greatest.trim())
    .map((r) => {
      const l: OwnLimit = {
        quantity: r.quantity,
        ...(r.reference.trim() && { reference: r.reference.trim() }),
      };
      if (kind && (r.quantity === "head_d" || r.quantity === "head_height")) l.kind = kind;
      if (num(r.least)) l[`min_${r.unit}`] = num(r.least);
      if (num(r.greatest)) l[`max_${r.unit}`] = num(r.greatest);
      return l;
    });
  return limits.length > 0 ? { name: name.trim(), reference: reference.trim(), limits } : undefined;
}

export function toRows(o: OwnLimits | undefined): RowDraft[] {
  return (o?.limits ?? []).map((l) => {
    const unit = l.min_in || l.max_in ? "in" : l.min_d || l.max_d ? "d" : "mm";
    const t = (v: number | undefined): string => (v ? String(v) : "");
    return {
      quantity: l.quantity,
      least: t(l[`min_${unit}`]),
      greatest: t(l[`max_${unit}`]),
      unit,
      reference: l.reference ?? "",
    } as RowDraft;
  });
}
