// All fasteners of a photo as tabs and as a list.
import type { Refusal, Summary, Whole } from "../../bridge/types";
import { w } from "../../words";
import { isDiameter } from "../finding";
import { Num, sentence, upper } from "../kit/bits";
import { Shape, V, verdictShape } from "../kit/shapes";
import { inOrder } from "./tags";
import type { InWork } from "./usework";

const VMark = ({ v, n }: { v: Whole; n: number }) => (
  <span class={verdictShape[v]}>
    <Shape s={verdictShape[v]} />
    <span class="unseen">{w.headline(v, n)}</span>
  </span>
);

/** That the part lies turned over or is another one: before all that was read of it. */
export const HandTold = ({ k }: { k: InWork }) =>
  k.placed?.hand ? <p class="pad caution">{sentence(k.placed.hand)}</p> : null;

export function AllList({
  k,
  stand,
  open,
}: {
  k: InWork;
  stand: Summary[];
  open: (i: number) => void;
}) {
  const doc = k.doc!;
  if (doc.locations.length === 0)
    return (
      <div class="pad stack">
        <h2>{w.result.nothing}</h2>
        <p>{w.result.nothingDo}</p>
      </div>
    );
  const same = askedAlike(k);
  return (
    <>
      <HandTold k={k} />
      {same && (
        <div class="said" role="status">
          <p>
            <b>{upper(same.text)}</b>
          </p>
          <p>{sentence(same.do)}</p>
        </div>
      )}
      <ul class="rows">
        {inOrder(k).map((i) => {
          const l = doc.locations[i]!;
          const s = stand[i]!,
            one = s.shown;
          const a = k.assigned[i];
          return (
            <li key={i}>
              <button type="button" class="row" onClick={() => open(i)}>
                <span class="tag">{a?.loc === "none" ? "–" : a?.tag}</span>
                <span class="fixed">
                  {l.ask ? (
                    <span class="v stage">{w.result.ask}</span>
                  ) : (
                    <V v={s.whole} n={s.missing.length} />
                  )}
                </span>
                <span class="rd">
                  {l.ask ? (
                    <small>{same ? "" : l.ask.text}</small>
                  ) : (
                    one && (
                      <>
                        <Num mm={one.value_mm} u={one.U_mm} d={isDiameter(one.quantity)} />
                        <small>
                          {w.quantityShort[one.quantity]}
                          {one.laid_out
                            ? ` · ${w.how.layout}`
                            : l.by_hand
                              ? ` · ${w.result.byHandMark}`
                              : ""}
                          {a?.loc === "new" ? ` · ${w.result.placeNew(a.tag)}` : ""}
                          {a?.loc === "none" ? ` · ${w.result.placeNone}` : ""}
                        </small>
                      </>
                    )
                  )}
                </span>
              </button>
            </li>
          );
        })}
      </ul>
    </>
  );
}

/** What all fasteners of a photo are asked alike: it is said once for the photo. */
function askedAlike(k: InWork): Refusal | undefined {
  const asks = k.doc!.locations.map((l) => l.ask);
  const first = asks[0] ?? undefined;
  return first && asks.length > 1 && asks.every((a) => a?.code === first.code) ? first : undefined;
}

export function Tabs({
  k,
  order,
  stand,
  tab,
  choose,
}: {
  k: InWork;
  order: number[];
  stand: Summary[];
  tab: number | undefined;
  choose: (i: number | undefined) => void;
}) {
  return (
    <div class="tabs right" role="tablist" aria-label={w.result.fasteners(k.doc!.locations.length)}>
      <button
        type="button"
        role="tab"
        aria-selected={tab === undefined}
        id="tab-all"
        aria-controls="tab-panel"
        onClick={() => choose(undefined)}
      >
        {w.result.all}
      </button>
      {order.map((i) => (
        <button
          type="button"
          role="tab"
          key={i}
          aria-selected={tab === i}
          aria-controls="tab-panel"
          onClick={() => choose(tab === i ? undefined : i)}
        >
          {stand[i]?.whole && !k.doc!.locations[i]!.ask ? (
            <VMark v={stand[i].whole} n={stand[i].missing.length} />
          ) : null}
          {k.assigned[i]?.loc === "none" ? "–" : k.assigned[i]!.tag}
        </button>
      ))}
    </div>
  );
}
