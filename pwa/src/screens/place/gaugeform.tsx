// What was measured by hand at one location: with what, which quantity, and of a distance to what
// and from where. How the location will stand is shown before it is saved.
import { useEffect, useState } from "preact/hooks";
import type {
  Hand,
  Identity,
  Kind,
  LocationView,
  Quantity,
  Reading,
  Spec,
  Stage,
} from "../../bridge/types";
import { book } from "../../data/book";
import { w } from "../../words";
import { isDiameter, nowAt } from "../finding";
import { useLive } from "../hooks";
import { Field, HowSure, Num, sentence } from "../kit/bits";
import { useAuthor } from "../kit/author";
import { askDates } from "../kit/dates";
import { identityOf, InstrumentFields, isGiven, useInstruments } from "../kit/instrument";
import { V } from "../kit/shapes";
import { about, Form } from "./form";
import { Pins } from "./pins";
import { freshRow, GaugeRow, isGood, readingOf, usualU, type Row } from "./gaugerow";
import { goals, isDistance } from "./target";
import { memory, remember, units } from "../prefs";

export function GaugeForm({ id }: { id: string }) {
  const [instrument, setInstrument] = useState(memory.value?.instrument ?? ""),
    [identity, setIdentity] = useState<Identity>({}),
    [rows, setRows] = useState<Row[]>([freshRow("head_d_min")]),
    [pinned, setPinned] = useState<Reading[]>([]);
  const v = useLive("state.location", { id }).value,
    places = useLive("state.part", { id: v?.part.id ?? "" }).value?.places ?? [];
  const kind = v && kindAt(v);
  const author = useAuthor(),
    known = useInstruments(v?.project.id);
  const before = (name: string) => known.find((k) => k.name === name.trim());
  useEffect(() => {
    // The name may stand there before what is known of it was read.
    const k = before(instrument);
    if (k && !isGiven(identity)) setIdentity(identityOf(k));
  }, [known]);
  useEffect(() => {
    if (kind === "hole") setRows([freshRow("hole_d_min")]);
  }, [kind]);
  const layers = useLive("layers", { id: v?.part.id ?? "" }).value?.[id] ?? [];
  const readings = (
    v && rows.every((r) => isGood(r) || (pinned.length > 0 && !r.v)) ? rows.filter(isGood) : []
  ).map((r) =>
    readingOf(r, instrument.trim(), isDistance(r.q) ? goals(v!, places, r.q) : [], kind),
  );
  readings.push(...pinned);
  const typed = readings.length > 0 && readings.every((r): r is Reading => !!r);
  const then = useThen(id, typed ? readings : undefined);
  const limited = useLimited(then?.spec ?? (v && nowAt(v)?.spec) ?? v?.spec ?? undefined),
    pair = (kind === "hole" ? hole : head).filter((q) => limited.has(q)),
    one = rows.some((r) => pair.includes(r.q)) && pair.some((q) => !rows.some((r) => r.q === q)),
    both = pair.length > 1 && one ? pair : undefined;
  return (
    <Form
      id={id}
      title={() => w.gauge.title}
      why={instrument.trim() && typed ? author.why : w.gauge.need}
      words={w.gauge.saved}
      cell={{
        label: w.gauge.thenCell,
        value: <span class="willbe">{then?.then.whole ? w.verdict[then.then.whole] : "–"}</span>,
      }}
      make={async (at) => {
        await askDates({ project: at.project.id });
        await author.keep();
        void remember({ instrument: instrument.trim() });
        const h = await book.call("hand", { location: id, readings: readings as Reading[] });
        return [
          {
            kind: "gauge",
            ...about(at),
            data: {
              ...(h.finding && { finding: h.finding }),
              spec: h.spec,
              instrument: instrument.trim(),
              ...(isGiven(identity) && { identity: identityOf(identity) }),
              readings: readings as Reading[],
              result: h.result,
            },
          },
        ];
      }}
    >
      {(at) => (
        <>
          <Field
            label={w.gauge.instrument}
            hint={w.gauge.instrumentHint}
            value={instrument}
            list={known.map((k) => k.name)}
            set={(x) => {
              setInstrument(x);
              const k = before(x);
              if (k) setIdentity(identityOf(k));
            }}
          />
          <InstrumentFields project={at.project.id} value={identity} set={setIdentity} />
          {rows.map((r, i) => (
            <GaugeRow
              key={i}
              r={r}
              kind={kind}
              measured={!!nowAt(at) || at.location.stage === "set rivet"}
              goals={isDistance(r.q) ? goals(at, places, r.q) : []}
              layers={layers.map((x) => x.layer).filter(Boolean)}
              put={(c) => setRows(rows.map((x, j) => (j === i ? { ...x, ...c } : x)))}
              remove={rows.length > 1 ? () => setRows(rows.filter((_, j) => j !== i)) : undefined}
            />
          ))}
          {both && (
            <div class="said">
              <p>
                <b>{w.gauge.oneIsNotEnough(both.map((q) => w.quantity[q]))}</b>
              </p>
              <button
                type="button"
                class="link"
                onClick={() =>
                  setRows([
                    ...rows,
                    ...both.filter((q) => !rows.some((r) => r.q === q)).map((q) => freshRow(q)),
                  ])
                }
              >
                {w.gauge.addOther}
              </button>
            </div>
          )}
          <p class="note">{w.gauge.uHint(units.value === "in")}</p>
          <button
            type="button"
            class="link"
            onClick={() => setRows([...rows, freshRow("edge_distance", usualU().rule)])}
          >
            {w.gauge.add}
          </button>
          {kind === "hole" && <Pins v={at} take={setPinned} taken={pinned} />}
          {author.ask}
          <Then tag={at.location.tag} h={then} />
        </>
      )}
    </Form>
  );
}

const head: Quantity[] = ["head_d_min", "head_d_max"],
  hole: Quantity[] = ["hole_d_min", "hole_d_max"];

/** The quantities that there are limits for. */
function useLimited(spec: Spec | undefined): Set<Quantity> {
  const [set, setSet] = useState(new Set<Quantity>());
  useEffect(() => {
    if (spec)
      book.call("limits", spec).then(
        (l) => setSet(new Set(l.limits.map((x) => x.quantity))),
        () => undefined, // saving says why
      );
  }, [JSON.stringify(spec)]);
  return set;
}

/** What stands there, or else what is meant to: a hole first, where one is begun or left. */
const kindAt = (v: LocationView): Kind | undefined =>
  nowAt(v)?.spec.kind ?? (holes.includes(v.location.stage) ? "hole" : v.spec?.kind);

const holes: Stage[] = ["pilot hole", "final hole", "drilled out"];

/** How the location will stand with readings that are being typed. */
function useThen(location: string, readings: Reading[] | undefined): Hand | undefined {
  const [h, set] = useState<Hand>();
  const key = readings && JSON.stringify(readings);
  useEffect(() => {
    if (!readings) return set(undefined);
    let gone = false;
    book.call("hand", { location, readings }).then(
      (x) => {
        if (!gone) set(x);
      },
      () => {
        if (!gone) set(undefined); // saving says why
      },
    );
    return () => {
      gone = true;
    };
  }, [key]);
  return h;
}

/** Its place is kept before anything is typed. */
function Then({ tag, h }: { tag: string; h: Hand | undefined }) {
  const s = h?.then,
    one = s?.shown,
    settle = s?.said[s.governing]?.settle;
  return (
    <div class="then stack" role="status">
      <h2>{w.gauge.then(tag)}</h2>
      {s ? (
        <>
          <p>
            <V v={s.whole} n={s.missing.length} />
          </p>
          {one && (
            <p>
              {w.quantityShort[one.quantity]}{" "}
              <Num mm={one.value_mm} u={one.U_mm} d={isDiameter(one.quantity)} unit />
            </p>
          )}
          {s.missing.length > 0 && (
            <p class="note">{w.inspect.notRead(s.missing.map((m) => m.what).join(", "))}</p>
          )}
          <HowSure />
          {settle && (
            <p class="note">
              <b>{w.result.settle}</b> {sentence(settle)}
            </p>
          )}
          {h.notes.map((n) => (
            <p class="caution" key={n}>
              {sentence(n)}
            </p>
          ))}
        </>
      ) : (
        <p class="note">{w.gauge.thenNone}</p>
      )}
    </div>
  );
}
