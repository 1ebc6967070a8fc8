// What a measurement of a part's shape came to.
import type { ShapeResult } from "../../bridge/types";
import { bw } from "../../words/bench";
import { shown } from "../hooks";
import { sentence } from "../kit/bits";
import { V } from "../kit/shapes";

/** A value with its U: lengths in the chosen units, angles as they are. */
const measure = (value: number, U: number, unit: string): string =>
  unit === "mm"
    ? shown(value, U).with_u
    : `${value.toFixed(2)} ± ${U.toFixed(2)} ${unit}`.replace(/^-/, "\u2212");

export const measurePlain = (v: number, unit: string): string =>
  unit === "mm" ? shown(v).value : `${v} ${unit}`;

/** What a measurement came to. */
export function ResultLines({ r }: { r: ShapeResult }) {
  return (
    <ul>
      {r.lines.map((x, i) => (
        <li>
          {i === 0 ? <b>{measure(x.value, x.U, x.unit)}</b> : measure(x.value, x.U, x.unit)}{" "}
          <span class="note">{x.name}</span> <small>{x.by}</small>
        </li>
      ))}
      {r.stations?.map((x) => (
        <li>
          {bw.shape.station} {x.name}: {measure(x.value, x.U, r.unit)}{" "}
          {x.verdict && <V v={x.verdict} />}
        </li>
      ))}
      {r.notes?.map((n) => (
        <li class="note">{sentence(n)}</li>
      ))}
    </ul>
  );
}
