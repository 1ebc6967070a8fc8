// A measured shape of a part, as one row of a list.
import type { PartShape } from "../../bridge/types";
import { w } from "../../words";
import { shown } from "../hooks";
import { Icon, Shape, V, verdictShape } from "./shapes";

export function ShapeRow({ s, to, name }: { s: PartShape; to: string; name?: string }) {
  const v = s.result.verdict;
  const text =
    s.result.unit === "mm"
      ? shown(s.result.value, s.result.U).with_u
      : `${s.result.value.toFixed(2)} ± ${s.result.U.toFixed(2)} ${s.result.unit}`;
  return (
    <a class="row" href={to}>
      <span class={v ? verdictShape[v] : "stage"}>
        <Shape s={v ? verdictShape[v] : "marked"} />
      </span>
      <span class="what">
        <b>{s.name}</b> {name && <span class="note">{name}</span>}
        <small>{text}</small>
      </span>
      <span class="rd">{v ? <V v={v} /> : <small>{w.workScreen.notReleased(s.state)}</small>}</span>
      <Icon i="next" />
    </a>
  );
}

/** The shapes of a part that stand. */
export function ShapeRows({ part, of }: { part: string; of: PartShape[] | undefined }) {
  const all = (of ?? []).filter((s) => s.stands);
  if (all.length === 0) return null;
  return (
    <ul class="rows">
      {all.map((s) => (
        <li key={s.entry}>
          <ShapeRow s={s} to={`/part/${part}/shape`} />
        </li>
      ))}
    </ul>
  );
}
