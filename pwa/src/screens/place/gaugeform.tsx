// What was measured by hand at one location.
import { useEffect, useState } from "preact/hooks";
import type { Quantity, Reading } from "../../bridge/types";
import { book } from "../../data/book";
import { w } from "../../words";
import { findings } from "../finding";
import { useLive } from "../hooks";
import { Field, Select, upper } from "../kit/bits";
import { units } from "../prefs";
import { about, Form } from "./form";

const num = (s: string): number => Number(s.replace(",", "."));

/** What hand gauges usually leave open, in the unit that is typed: calipers, and a rule read to half a millimetre. */
const usualU = () =>
  units.value === "in" ? { calipers: "0.002", rule: "0.02" } : { calipers: "0.05", rule: "0.5" };

const gaugeable: Quantity[] = [
  "head_d_min",
  "head_d_max",
  "head_d_mean",
  "hole_d_min",
  "hole_d_max",
  "hole_d_mean",
  "edge_distance",
  "pitch",
  "head_height",
  "out_of_round",
  "mandrel_off",
];

export function GaugeForm({ id }: { id: string }) {
  const [instrument, setInstrument] = useState(""),
    [rows, setRows] = useState<{ q: Quantity; v: string; u: string }[]>([
      { q: "head_d_min", v: "", u: usualU().calipers },
    ]);
  const inch = units.value === "in",
    k = inch ? 25.4 : 1;
  const good = instrument.trim() && rows.every((r) => num(r.v) > 0 && num(r.u) > 0);
  const known = useLive("state.location", { id }).value;
  const spec0 =
    known && (findings(known.entries).get(known.location.finding ?? "")?.data.spec ?? known.spec);
  useEffect(() => {
    if (spec0?.kind === "hole") setRows([{ q: "hole_d_min", v: "", u: usualU().calipers }]);
  }, [spec0?.kind]);
  return (
    <Form
      id={id}
      title={() => w.gauge.title}
      why={good ? undefined : w.gauge.need}
      words={w.gauge.saved}
      make={async (v) => {
        const spec = spec0 ?? v.spec;
        if (!spec) throw new Error(w.part.needSize);
        const readings: Reading[] = rows.map((r) => ({
          quantity: r.q,
          value_mm: num(r.v) * k,
          U_mm: num(r.u) * k,
          how: "hand gauge",
          method: instrument.trim(),
        }));
        const j = await book.call("judge", {
          spec,
          readings,
          ...(v.hole.length > 0 && spec.kind !== "hole" && { hole: v.hole }),
        });
        return [
          {
            kind: "gauge",
            ...about(v),
            data: {
              ...(v.location.finding && { finding: v.location.finding }),
              spec,
              instrument: instrument.trim(),
              readings,
              result: { ...j.result, unread: [] },
            },
          },
        ];
      }}
    >
      {() => (
        <>
          <Field
            label={w.gauge.instrument}
            hint={w.gauge.instrumentHint}
            value={instrument}
            set={setInstrument}
          />
          {rows.map((r, i) => {
            const put = (c: Partial<typeof r>): void =>
              setRows(rows.map((x, j) => (j === i ? { ...x, ...c } : x)));
            return (
              <div class="stack" key={i}>
                <Select<Quantity>
                  label={w.gauge.quantity}
                  value={r.q}
                  set={(q) => put({ q })}
                  of={gaugeable
                    .filter((q) =>
                      spec0?.kind === "hole" ? !q.startsWith("head") : !q.startsWith("hole"),
                    )
                    .map((q) => ({ value: q, text: upper(w.quantity[q]) }))}
                />
                <div class="two">
                  <Field
                    label={w.gauge.value}
                    unit={inch ? "in" : "mm"}
                    mode="decimal"
                    value={r.v}
                    set={(x) => put({ v: x })}
                  />
                  <Field
                    label={w.gauge.u}
                    unit={inch ? "in" : "mm"}
                    mode="decimal"
                    value={r.u}
                    set={(u) => put({ u })}
                  />
                </div>
              </div>
            );
          })}
          <p class="note">{w.gauge.uHint(inch)}</p>
          <button
            type="button"
            class="link"
            onClick={() => setRows([...rows, { q: "edge_distance", v: "", u: usualU().rule }])}
          >
            {w.gauge.add}
          </button>
        </>
      )}
    </Form>
  );
}
