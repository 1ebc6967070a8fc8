// The readings of one fastener, each with its U, the limits it meets, their sources, and what makes up U.
import { useState } from "preact/hooks";
import type { Check, Limit, PhotoReading, Reading, Verdict } from "../../bridge/types";
import { w } from "../../words";
import { groups, isDiameter, type CheckGroup } from "../finding";
import { shown } from "../hooks";
import { Num, sentence, upper } from "../kit/bits";
import { LimitRule } from "../kit/limitrule";
import { V } from "../kit/shapes";

interface Props {
  checks: Check[];
  readings: (PhotoReading | Reading)[];
  verdict: Verdict | "";
  tag?: ((i: number) => string) | undefined;
  notes?: string[] | undefined;
  unread?: Limit[] | undefined;
  /** What makes up U is folded away. */
  brief?: boolean;
}

export function Checks(p: Props) {
  const gs = groups(p.checks);
  const [open, setOpen] = useState(0);
  const judgedValues = new Set(p.checks.map((c) => `${c.reading.quantity}${c.reading.value_mm}`));
  const gauged = new Set(
    p.checks.filter((c) => c.reading.how === "hand gauge").map((c) => c.reading.quantity),
  );
  const rest = p.readings.filter((r) => !judgedValues.has(`${r.quantity}${r.value_mm}`));
  const name = (g: { quantity: Reading["quantity"]; value: number }): string => {
    const r = p.readings.find((x) => x.quantity === g.quantity && x.value_mm === g.value) as
      PhotoReading | undefined;
    return upper(r?.to !== undefined && p.tag ? w.pitchTo(p.tag(r.to)) : w.quantity[g.quantity]);
  };
  return (
    <>
      {gs.map((g, i) =>
        i === open ? (
          <Big
            g={g}
            name={name({ quantity: g.quantity, value: g.worst.reading.value_mm })}
            brief={p.brief ?? false}
            key={i}
          />
        ) : (
          <button
            type="button"
            class="row"
            key={i}
            onClick={() => setOpen(i)}
            aria-expanded="false"
          >
            <span class="what">
              {name({ quantity: g.quantity, value: g.worst.reading.value_mm })}
              {g.worst.reading.how === "hand gauge" && <small>{w.how["hand gauge"]}</small>}
            </span>
            <span class="rd">
              <Num mm={g.worst.reading.value_mm} u={g.worst.U_mm} d={isDiameter(g.quantity)} />
            </span>
            <V v={g.worst.verdict} />
          </button>
        ),
      )}
      {rest.length > 0 && (
        <ul class="rows">
          {rest.map((r, i) => (
            <li key={i}>
              <div class="row">
                <span class="what">
                  {name({ quantity: r.quantity, value: r.value_mm })}
                  {r.warnings?.map((x) => (
                    <small>{sentence(x)}</small>
                  ))}
                  {gauged.has(r.quantity) && <small>{w.history.replaced}</small>}
                </span>
                <span class="rd">
                  <Num mm={r.value_mm} u={r.U_mm} d={isDiameter(r.quantity)} />
                </span>
              </div>
            </li>
          ))}
        </ul>
      )}
      {(p.unread ?? []).length > 0 && (
        <div class="pad">
          <h3>{w.result.unread}</h3>
          <ul>
            {p.unread!.map((l) => (
              <li class="note">
                {upper(l.name)}, {l.source}
              </li>
            ))}
          </ul>
        </div>
      )}
      {(p.notes ?? []).length > 0 && (
        <ul class="pad">
          {p.notes!.map((n) => (
            <li class="note">{sentence(n)}</li>
          ))}
        </ul>
      )}
    </>
  );
}

function Big({ g, name, brief }: { g: CheckGroup; name: string; brief: boolean }) {
  const c = g.worst;
  const [src, setSrc] = useState(false);
  const other = g.all.find((x) => x !== c && !!x.limit.min_mm !== !!c.limit.min_mm);
  const own = c.limit;
  const parts = [...(c.reading.contributions ?? []), ...(c.added ?? [])].sort(
    (a, b) => b.u_mm - a.u_mm,
  );
  const total = parts.reduce((a, x) => a + x.u_mm ** 2, 0) || 1;
  const made = w.result.makesUp(shown(0, c.U_mm).with_u.split(" ± ")[1] ?? "");
  const budget = (
    <>
      <div class="bar" aria-hidden="true">
        {parts.map((x) => (
          <i style={{ width: `${(100 * x.u_mm ** 2) / total}%` }} />
        ))}
      </div>
      <div class="two-col">
        {parts.map((x) => (
          <span key={x.label}>
            <span>{x.label}</span>
            <b>{x.u_mm.toFixed(3)}</b>
          </span>
        ))}
        <span>
          <span>{w.result.twoU}</span>
          <b>{c.U_mm.toFixed(2)}</b>
        </span>
      </div>
    </>
  );
  return (
    <div class="check">
      <div class="top">
        <b>{name}</b>
        <V v={c.verdict} />
      </div>
      <div class="big">
        <Num mm={c.reading.value_mm} u={c.U_mm} unit d={isDiameter(g.quantity)} />
      </div>
      <p class="label">
        {w.how[c.reading.how]}
        {c.reading.warnings?.map((x) => ` · ${x}`)}
      </p>
      <LimitRule check={c} other={other} />
      <button class="link" type="button" aria-expanded={src} onClick={() => setSrc(!src)}>
        {w.result.source(own.source)}
      </button>
      {src && (
        <div class="stack note">
          {g.all.map((x) => (
            <p key={x.limit.name + x.limit.source}>
              <b>{upper(x.limit.name)}</b>: {limitText(x.limit)}. {x.limit.source}
              {x.limit.note ? `; ${x.limit.note}` : ""}. {w.limitsScreen.basis}: {x.limit.basis}.
              {x.limit.published && (
                <>
                  {" "}
                  {w.result.published(
                    `${limitText(x.limit.published)}, ${x.limit.published.source}`,
                  )}
                  .
                </>
              )}
            </p>
          ))}
          {c.notes?.map((n) => (
            <p>{sentence(n)}</p>
          ))}
        </div>
      )}
      {own.laxer && own.published && !src && (
        <p class="note">
          {w.result.published(`${limitText(own.published)}, ${own.published.source}`)}
        </p>
      )}
      {parts.length > 0 &&
        (brief ? (
          <details>
            <summary>{made}</summary>
            {budget}
          </details>
        ) : (
          <>
            <p class="label">{made}</p>
            {budget}
          </>
        ))}
    </div>
  );
}

const limitText = (l: Limit): string =>
  `${l.min_mm ? w.min : w.max} ${shown(l.min_mm || l.max_mm || 0).value}`;
