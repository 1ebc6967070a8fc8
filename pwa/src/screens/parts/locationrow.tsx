// A location in a list: tag, verdict, the reading that decides.
import type { Location } from "../../bridge/types";
import { path } from "../../router";
import { w } from "../../words";
import { findings, headline, isDiameter, standing } from "../finding";
import { Num } from "../kit/bits";
import { V } from "../kit/shapes";

export function LocationRow({
  l,
  known,
  choose,
  to,
}: {
  l: Location;
  known: ReturnType<typeof findings>;
  choose?: { on: boolean; set: () => void } | undefined;
  to?: string;
}) {
  const f = standing(l, known);
  const head = f && headline(f.checks, f.readings);
  const inner = (
    <>
      <span class="tag">{l.tag}</span>
      <span class="fixed">
        <V v={l.verdict} stage={l.stage} />
      </span>
      <span class="rd">
        {head ? (
          <>
            <Num mm={head.mm} u={head.u} d={isDiameter(head.quantity)} />
            <small>{w.quantityShort[head.quantity]}</small>
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
