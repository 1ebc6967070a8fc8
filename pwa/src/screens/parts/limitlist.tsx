// What is held against, and the word that a laxer limit stands on the drawing.
import type { KnownLimit, Limit } from "../../bridge/types";
import { w } from "../../words";
import { shown } from "../hooks";
import { Tick } from "../kit/bits";

const limitText = (l: Limit): string =>
  `${l.min_mm ? w.min : w.max} ${shown(l.min_mm || l.max_mm || 0).value}`;

/** What makes a laxer limit the same one again. */
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
          <li key={i}>
            <div class="row">
              <span class="what">
                {l.name}
                <small>
                  {l.source} · {l.from}
                  {l.laxer &&
                    l.published &&
                    ` · ${w.limitsScreen.laxer(limitText(l), `${limitText(l.published)} (${l.published.source}, ${l.published_from})`)}`}
                </small>
              </span>
              <b class="nowrap">{limitText(l)}</b>
            </div>
          </li>
        ))}
      </ul>
    </>
  );
}

/** The laxer limits, each to be confirmed once. */
export function ConfirmLimits({
  laxer,
  said,
  set,
}: {
  laxer: KnownLimit[];
  said: Set<string>;
  set: (said: Set<string>) => void;
}) {
  return (
    <>
      <div class="head">
        <h2>{w.limitsScreen.laxerTitle}</h2>
      </div>
      <div class="pad stack">
        {laxer.map((l) => (
          <div class="caution" key={limitKey(l)}>
            <p>
              <b>{l.name}</b>
            </p>
            <p>
              {w.limitsScreen.laxer(
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
              {w.limitsScreen.laxerConfirm}
            </Tick>
          </div>
        ))}
        <p class="note">{w.limitsScreen.laxerNote}</p>
      </div>
    </>
  );
}
