// A location in a list: tag, how it stands, the reading that decides.
import type { Place } from "../../bridge/types";
import { path } from "../../router";
import { w } from "../../words";
import { isDiameter } from "../finding";
import { Num } from "../kit/bits";
import { V } from "../kit/shapes";

export function LocationRow({
  p,
  choose,
  to,
}: {
  p: Place;
  choose?: { on: boolean; set: () => void } | undefined;
  to?: string;
}) {
  const l = p.location,
    one = p.now?.shown;
  const inner = (
    <>
      <span class="tag">{l.tag}</span>
      <span class="fixed">
        <V v={l.whole} n={l.not_read} stage={l.stage} />
      </span>
      <span class="rd">
        {one ? (
          <>
            <Num mm={one.value_mm} u={one.U_mm} d={isDiameter(one.quantity)} />
            <small>
              {w.quantityShort[one.quantity]}
              {one.laid_out && ` · ${w.how.layout}`}
            </small>
          </>
        ) : (
          <small>{l.stage === "marked" ? "" : w.part.notMeasured}</small>
        )}
      </span>
    </>
  );
  if (choose)
    return (
      <button
        type="button"
        class="row"
        aria-pressed={choose.on}
        aria-current={choose.on ? "true" : undefined}
        onClick={choose.set}
      >
        {inner}
      </button>
    );
  return (
    <a class="row" href={to ?? path("location", l.id)}>
      {inner}
    </a>
  );
}
