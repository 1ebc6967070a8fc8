// The limits in force, and the confirmation that a less strict limit stands on the drawing.
import type { KnownLimit, Limit } from "../../bridge/types";
import { w } from "../../words";
import { shown } from "../hooks";
import { Line, Tick } from "../kit/bits";

const limitText = (l: Limit): string =>
  `${l.min_mm ? w.min : w.max} ${shown(l.min_mm || l.max_mm || 0).value}`;

/** What makes a less strict limit the same one again. */
export const limitKey = (l: Limit): string =>
  [l.quantity, l.min_mm ?? 0, l.max_mm ?? 0, l.source].join("|");

export function LimitList({ limits }: { limits: KnownLimit[] }) {
  return (
    <>
      <div class="head">
        <h2>{w.limitsScreen.now}</h2>
      </div>
      <ul class="rows">
        {limits.map((l, i) => (
          <Line
            key={i}
            what={l.name}
            small={
              <>
                {l.source} · {l.from}
                {l.laxer &&
                  l.published &&
                  ` · ${w.limitsScreen.lessStrict(limitText(l), `${limitText(l.published)} (${l.published.source}, ${l.published_from})`)}`}
              </>
            }
          >
            <b class="nowrap">{limitText(l)}</b>
          </Line>
        ))}
      </ul>
    </>
  );
}

/** The less strict limits, each to be confirmed once. */
export function ConfirmLimits({
  lessStrict,
  said,
  set,
}: {
  lessStrict: KnownLimit[];
  said: Set<string>;
  set: (said: Set<string>) => void;
}) {
  return (
    <>
      <div class="head">
        <h2>{w.limitsScreen.lessStrictTitle}</h2>
      </div>
      <div class="pad stack">
        {lessStrict.map((l) => (
          <div class="caution" key={limitKey(l)}>
            <p>
              <b>{l.name}</b>
            </p>
            <p>
              {w.limitsScreen.lessStrict(
                `${limitText(l)} (${l.source}, ${l.from})`,
                l.published
                  ? `${limitText(l.published)} (${l.published.source}, ${l.published_from})`
                  : "",
              )}
            </p>
            <Tick
              checked={said.has(limitKey(l))}
              set={(on) => {
                const n = new Set(said);
                if (on) n.add(limitKey(l));
                else n.delete(limitKey(l));
                set(n);
              }}
            >
              {w.limitsScreen.lessStrictConfirm}
            </Tick>
          </div>
        ))}
        <p class="note">{w.limitsScreen.lessStrictNote}</p>
      </div>
    </>
  );
}
