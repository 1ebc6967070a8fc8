// What is typed of a measurement of a part's shape, and what the Go side is asked with it.
import type { Seen, ShapeInput, ShapeKind, ShapeState } from "../../bridge/types";
import { bw } from "../../words/bench";
import { signed, whole } from "./numbers";

export interface Typed {
  name: string;
  kind: ShapeKind;
  state: ShapeState;
  method: string;
  values: string[];
  stations: { name: string; frame: string; opening: string }[];
  u: string;
  base: string;
  width: string;
  length: string;
  target: string;
  tolerance: string;
  source: string;
  tweaks: string;
  wobble?: string;
  cracks: Seen;
}
export const none: Typed = {
  name: "",
  kind: "twist",
  state: "imposed",
  method: "fourth corner",
  values: ["", "", "", ""],
  stations: [1, 2, 3, 4].map((n) => ({ name: String(n), frame: "", opening: "" })),
  u: "0.2",
  base: "0.1",
  width: "",
  length: "",
  target: "",
  tolerance: "",
  source: "",
  tweaks: "0",
  wobble: "",
  cracks: "not looked",
};

/** A formed angle, in degrees. */
export const bent = (k: ShapeKind): boolean => k === "formed angle";
/** Along a seal, at stations. */
export const seam = (k: ShapeKind): boolean => k === "flushness" || k === "gap";
/** What its values are. */
export const labels = (d: Typed): string[] => {
  const l = bw.shape;
  if (d.kind === "twist") return l.values[d.method] ?? [];
  if (d.kind === "squareness") return l.diagonals;
  if (seam(d.kind)) return [];
  return [d.kind === "formed angle" ? l.angle : l.one];
};

/** The question to the Go side; undefined while something is missing or can't be read. */
export function inputOf(d: Typed): ShapeInput | undefined {
  const n = labels(d).length;
  const values = d.values.slice(0, n).map(signed);
  const stations = d.stations
    .filter((s) => s.frame.trim())
    .map((s) => ({
      name: s.name,
      frame_mm: signed(s.frame),
      ...(s.opening.trim() && { opening_mm: signed(s.opening) }),
    }));
  const optional = (k: string, s: string): Record<string, number> =>
    s.trim() ? { [k]: signed(s) } : {};
  const all = {
    ...optional("base_U_mm", d.kind === "twist" ? d.base : ""),
    ...optional("width_mm", d.kind === "twist" || d.kind === "squareness" ? d.width : ""),
    ...optional("length_mm", d.kind === "twist" || d.kind === "squareness" ? d.length : ""),
    ...optional("target_mm", d.target),
    ...optional("tolerance_mm", d.target.trim() ? d.tolerance : ""),
  };
  const numbers = [
    ...values,
    ...Object.values(all),
    signed(d.u),
    ...(bent(d.kind) ? [whole(d.tweaks), signed(d.wobble?.trim() || "0")] : []),
    ...stations.flatMap((s) => [s.frame_mm, s.opening_mm ?? 0]),
  ];
  if (!d.name.trim() || numbers.some(Number.isNaN) || (seam(d.kind) && stations.length === 0))
    return undefined;
  return {
    name: d.name.trim(),
    kind: d.kind,
    state: d.state,
    U_mm: signed(d.u),
    ...(d.kind === "twist" && { method: d.method }),
    ...(seam(d.kind) ? { stations } : { values_mm: values }),
    ...all,
    ...(d.source.trim() && { source: d.source.trim() }),
    ...(d.kind === "formed angle" && {
      cracks: d.cracks,
      ...(d.wobble?.trim() && { wobble_mm: signed(d.wobble) }),
      ...(whole(d.tweaks) > 0 && { tweaks: whole(d.tweaks) }),
    }),
  };
}
