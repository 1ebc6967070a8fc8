// Limits of a layout with their sources, and what cures a leg without a band.
import type { Bound, LayBand } from "../../bridge/types";
import { bw } from "../../words/bench";
import { shown } from "../hooks";

export function Bounds({ of, low, high }: { of: Bound[]; low?: string; high?: string }) {
  return (
    <ul class="bounds">
      {of.map((b) => {
        const binds = b.high ? b.name === high : b.name === low;
        return (
          <li>
            <span class={binds ? "at binds" : "at"}>
              <span>
                {b.name}
                {binds && `, ${bw.binds}`}
              </span>
              <span class="nowrap">
                {b.high ? bw.atMost : bw.atLeast} {shown(b.at_mm).value}
              </span>
            </span>
            <small>
              {b.advice && `${bw.advice}; `}
              {b.source}; {b.from}
            </small>
          </li>
        );
      })}
    </ul>
  );
}

export function Cures({ of }: { of: LayBand["cures"] }) {
  if (!of?.length) return null;
  return (
    <>
      <div class="head">
        <h2>{bw.cures}</h2>
      </div>
      <ul class="bounds">
        {of.map((c) => (
          <li>
            <b>{c.works ? bw.works : bw.worksNot}: </b>
            {c.text}
          </li>
        ))}
      </ul>
    </>
  );
}

/** Lines that are only to be read. */
export function Said({ title, of }: { title: string; of: (string | undefined)[] }) {
  const lines = of.filter(Boolean);
  if (lines.length === 0) return null;
  return (
    <>
      <div class="head">
        <h2>{title}</h2>
      </div>
      <ul class="bounds">
        {lines.map((n) => (
          <li>{n}</li>
        ))}
      </ul>
    </>
  );
}
