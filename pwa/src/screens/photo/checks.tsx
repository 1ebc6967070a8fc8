// The readings of one place, each with its U, the limits it meets, their sources, and what makes up
// U; what was not read; which hand reading took another's place.
import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import type {
  Check,
  Limit,
  LocationView,
  Missing,
  PhotoReading,
  Reading,
  Said,
  Stood,
  Summary,
} from "../../bridge/types";
import { w } from "../../words";
import { isDiameter } from "../finding";
import { time } from "../dates";
import { shown } from "../hooks";
import { Line, Num, sentence, upper } from "../kit/bits";
import { LimitRule } from "../kit/limitrule";
import { V } from "../kit/shapes";

type AnyReading = Reading & Partial<Pick<Stood, "by"> & Pick<PhotoReading, "to">>;

interface Props {
  s: Summary;
  readings: AnyReading[];
  /** Tag of another fastener of the photo. */
  tag?: (i: number) => string;
  /** Names the hand reading of an entry. */
  by?: (entry: string) => string;
  notes?: string[] | undefined;
  /** What makes up U is folded away. */
  brief?: boolean;
}

/** Names a location's hand readings by their time, and what was filed by its edge. */
export const byWhom =
  (v: LocationView) =>
  (entry: string): string => {
    const e = v.entries.find((x) => x.id === entry);
    return e?.kind === "filed"
      ? w.result.byFiling(e.data.edge)
      : e
        ? w.result.byHandOf(time(e.at))
        : w.how["hand gauge"];
  };

const same = (a: Reading, b: Reading): boolean =>
  a.quantity === b.quantity &&
  a.value_mm === b.value_mm &&
  a.U_mm === b.U_mm &&
  a.how === b.how &&
  a.layer === b.layer;

/** What a reading is of, with the edge or the neighbour where that is known. */
export function nameOf(r: AnyReading, tag?: (i: number) => string): string {
  const of = r.of?.name ?? (r.to !== undefined && tag ? tag(r.to) : undefined);
  const what = !of ? w.quantity[r.quantity] : r.quantity === "pitch" ? w.pitchTo(of) : w.edgeOf(of);
  return upper(r.layer ? w.inLayer(what, r.layer) : what);
}

export function Checks({ s, readings, tag, by, notes = [], brief = false }: Props) {
  const [open, setOpen] = useState(0);
  const judged = (r: AnyReading): boolean => s.checks.some((c) => same(c.reading, r));
  const name = (r: Reading): string => nameOf(readings.find((x) => same(x, r)) ?? r, tag);
  const rest = readings.filter((r) => !r.by && !judged(r)),
    superseded = readings.filter((r) => r.by);
  return (
    <>
      {s.rows.map((row, i) => {
        const c = s.checks[row[0]!]!;
        return i === open ? (
          <Big s={s} row={row} name={name(c.reading)} brief={brief} key={i} />
        ) : (
          <button
            type="button"
            class="row"
            key={i}
            onClick={() => setOpen(i)}
            aria-expanded="false"
          >
            <span class="what">
              {name(c.reading)}
              {c.reading.how === "hand gauge" && <small>{w.how["hand gauge"]}</small>}
            </span>
            <span class="rd">
              <Num mm={c.reading.value_mm} u={c.U_mm} d={isDiameter(c.reading.quantity)} />
            </span>
            <V v={c.verdict} />
          </button>
        );
      })}
      {rest.length + superseded.length > 0 && (
        <ul class="rows">
          {rest.map((r, i) => (
            <Read r={r} name={nameOf(r, tag)} key={i}>
              {r.how === "hand gauge" && <small>{w.how["hand gauge"]}</small>}
              {r.warnings?.map((x) => (
                <small key={x}>{sentence(x)}</small>
              ))}
            </Read>
          ))}
          {superseded.map((r, i) => (
            <Read r={r} name={<s>{nameOf(r, tag)}</s>} key={`by ${i}`}>
              <small>{w.result.supersededBy(by?.(r.by!) ?? w.how["hand gauge"])}</small>
            </Read>
          ))}
        </ul>
      )}
      <NotRead missing={s.missing} />
      {notes.length > 0 && (
        <ul class="pad">
          {notes.map((n) => (
            <li class="note" key={n}>
              {sentence(n)}
            </li>
          ))}
        </ul>
      )}
    </>
  );
}

function Read({
  r,
  name,
  children,
}: {
  r: AnyReading;
  name: ComponentChildren;
  children: ComponentChildren;
}) {
  const num = <Num mm={r.value_mm} u={r.U_mm} d={isDiameter(r.quantity)} />;
  return (
    <Line
      what={
        <>
          {name}
          {children}
        </>
      }
    >
      <span class="rd">{r.by ? <s>{num}</s> : num}</span>
    </Line>
  );
}

/** What there are limits for and no reading, and what gives it. */
export function NotRead({ missing }: { missing: Missing[] }) {
  if (missing.length === 0) return null;
  return (
    <div class="pad stack">
      <h2>{w.result.unread}</h2>
      {missing.map((m) => (
        <div key={m.what}>
          <p>
            <b>{upper(m.what)}</b>: {m.do}.
          </p>
          {m.limits.map((l, i) => (
            <p class="note" key={i}>
              {limitText(l)} · {l.source} · {m.from[i]}
            </p>
          ))}
        </div>
      ))}
    </div>
  );
}

function Big({ s, row, name, brief }: { s: Summary; row: number[]; name: string; brief: boolean }) {
  const all = row.map((i) => s.checks[i]!),
    c = all[0]!,
    said = s.said[row[0]!]!;
  const [src, setSrc] = useState(false);
  const other = all.find((x) => x !== c && !!x.limit.min_mm !== !!c.limit.min_mm);
  const notes = [...new Set(all.flatMap((x) => x.notes ?? []))];
  return (
    <div class="check">
      <div class="top">
        <b>{name}</b>
        <V v={c.verdict} />
      </div>
      <div class="big">
        <Num mm={c.reading.value_mm} u={c.U_mm} unit d={isDiameter(c.reading.quantity)} />
      </div>
      <p class="label">
        {w.how[c.reading.how]}
        {c.reading.from_shank && ` · ${w.result.fromShank}`}
        {c.reading.warnings?.map((x) => ` · ${x}`)}
      </p>
      <LimitRule check={c} other={other} />
      {said.settle && (
        <p>
          <b>{w.result.settle}</b> {sentence(said.settle)}
        </p>
      )}
      {notes.map((n) => (
        <p class="note" key={n}>
          {sentence(n)}
        </p>
      ))}
      <button class="link" type="button" aria-expanded={src} onClick={() => setSrc(!src)}>
        {w.result.source(c.limit.source)}
      </button>
      <p class="label">{w.result.figure(said.from)}</p>
      {src && (
        <div class="stack note">
          {row.map((i) => (
            <Source l={s.checks[i]!.limit} said={s.said[i]!} key={i} />
          ))}
        </div>
      )}
      {c.limit.laxer && c.limit.published && !src && (
        <p class="note">{w.result.published(published(c.limit.published, said.published))}</p>
      )}
      <Budget c={c} brief={brief} />
    </div>
  );
}

/** A limit, who says so, and how the figure was had. */
const Source = ({ l, said }: { l: Limit; said: Said }) => (
  <p>
    <b>{upper(l.name)}</b>: {limitText(l)}. {l.source}. {sentence(said.from)}
    {l.published && <> {w.result.published(published(l.published, said.published))}.</>}
  </p>
);

const published = (l: Limit, from = ""): string => [limitText(l), l.source, from].join(", ");

/** So many rows of a budget stand open: what follows hardly counts. */
const LARGEST = 5;

/** What makes up the U that was judged with, the largest fraction first. */
function Budget({ c, brief }: { c: Check; brief: boolean }) {
  const parts = [...(c.reading.contributions ?? []), ...(c.added ?? [])].sort(
    (a, b) => b.u_mm - a.u_mm,
  );
  if (parts.length === 0) return null;
  const total = parts.reduce((a, x) => a + x.u_mm ** 2, 0) || 1;
  const made = w.result.makesUp(shown(0, c.U_mm).with_u.split(" ± ")[1] ?? "");
  const rows = (of: typeof parts) =>
    of.map((x) => (
      <span key={x.label}>
        <span>{w.result.parts[x.label] ?? x.label}</span>
        <b>{x.u_mm.toFixed(3)}</b>
      </span>
    ));
  const budget = (
    <>
      <div class="bar" aria-hidden="true">
        {parts.map((x) => (
          <i style={{ width: `${(100 * x.u_mm ** 2) / total}%` }} />
        ))}
      </div>
      <div class="two-col">
        {rows(parts.slice(0, LARGEST))}
        <span>
          <span>{w.result.twoU}</span>
          <b>{c.U_mm.toFixed(2)}</b>
        </span>
      </div>
      {parts.length > LARGEST && (
        <details>
          <summary>{w.result.moreParts(parts.length - LARGEST)}</summary>
          <div class="two-col">{rows(parts.slice(LARGEST))}</div>
        </details>
      )}
    </>
  );
  return brief ? (
    <details>
      <summary>{made}</summary>
      {budget}
    </details>
  ) : (
    <>
      <p class="label">{made}</p>
      {budget}
    </>
  );
}

export const limitText = (l: Limit): string =>
  `${l.min_mm ? w.min : w.max} ${shown(l.min_mm || l.max_mm || 0).value}`;
