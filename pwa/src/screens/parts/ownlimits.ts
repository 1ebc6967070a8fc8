// The drawing's own limits as they are typed, and as the record has them.
import type { Kind, OwnLimit, OwnLimits } from "../../bridge/types";
import { decimal, notDecimal } from "../kit/decimal";

export interface RowDraft {
  quantity: string;
  least: string;
  greatest: string;
  unit: "mm" | "in" | "d";
  reference: string;
  edition: string;
  page: string;
  /** What a file said and no field shows. */
  rest?: Pick<OwnLimit, "kind" | "size" | "note">;
}

/** What all of them have in common. */
export type Whole = Record<"name" | "reference" | "edition" | "page", string>;

export const freshRow: RowDraft = {
  quantity: "head_d",
  least: "",
  greatest: "",
  unit: "mm",
  reference: "",
  edition: "",
  page: "",
};

const cited = (d: Record<"reference" | "edition" | "page", string>) => ({
  ...(d.reference.trim() && { reference: d.reference.trim() }),
  ...(d.edition.trim() && { edition: d.edition.trim() }),
  ...(d.page.trim() && { page: d.page.trim() }),
});

/** Whether a bound can't be read: it would be none, and nobody would know. */
export const unreadable = (rows: RowDraft[]): boolean =>
  rows.some((r) => notDecimal(r.least) ?? notDecimal(r.greatest));

export function toOwn(
  whole: Whole,
  rows: RowDraft[],
  kind: Kind | undefined,
): OwnLimits | undefined {
  const limits: OwnLimit[] = rows
    .filter((r) => r.least.trim() || r.greatest.trim())
    .map((r) => {
      const l: OwnLimit = {
        ...r.rest,
        quantity: r.quantity,
        ...cited(r),
      };
      if (!r.rest && kind && (r.quantity === "head_d" || r.quantity === "head_height"))
        l.kind = kind;
      if (decimal(r.least)) l[`min_${r.unit}`] = decimal(r.least);
      if (decimal(r.greatest)) l[`max_${r.unit}`] = decimal(r.greatest);
      return l;
    });
  return limits.length > 0
    ? { name: whole.name.trim(), reference: "", ...cited(whole), limits }
    : undefined;
}

export function toRows(o: OwnLimits | undefined): RowDraft[] {
  return (o?.limits ?? []).map(({ kind, size, note, ...l }) => {
    const unit = l.min_in || l.max_in ? "in" : l.min_d || l.max_d ? "d" : "mm";
    const t = (v: number | undefined): string => (v ? String(v) : "");
    return {
      quantity: l.quantity,
      least: t(l[`min_${unit}`]),
      greatest: t(l[`max_${unit}`]),
      unit,
      reference: l.reference ?? "",
      edition: l.edition ?? "",
      page: l.page ?? "",
      rest: { ...(kind && { kind }), ...(size && { size }), ...(note && { note }) },
    } as RowDraft;
  });
}

export const wholeOf = (o: OwnLimits | undefined, drawing = ""): Whole => ({
  name: o?.name ?? drawing,
  reference: o?.reference ?? drawing,
  edition: o?.edition ?? "",
  page: o?.page ?? "",
});
