// One reading by hand as it is typed.
import { useState } from "preact/hooks";
import { Refused } from "../../bridge/client";
import type { Kind, Quantity, Reading, Target } from "../../bridge/types";
import { book } from "../../data/book";
import { w } from "../../words";
import { Choice, Field, Select, sentence, upper } from "../kit/bits";
import { units } from "../prefs";
import { isDistance, type Goal } from "./target";

export interface Row {
  q: Quantity;
  /** What a distance goes to: the value of a goal; name where that is "other". */
  to: string;
  name: string;
  from: "head" | "shank";
  v: string;
  u: string;
  /** A hole by pins: the one that goes in and the one that does not. */
  pins?: { go: string; noGo: string };
}

/** What hand gauges usually leave open, in the unit that is typed: calipers, and a rule read to half a millimetre. */
export const usualU = () =>
  units.value === "in" ? { calipers: "0.002", rule: "0.02" } : { calipers: "0.05", rule: "0.5" };

export const freshRow = (q: Quantity, u = usualU().calipers): Row => ({
  q,
  to: "nearest",
  name: "",
  from: "head",
  v: "",
  u,
});

const MM_PER_INCH = 25.4;
const num = (s: string): number => Number(s.replace(",", "."));

export const isGood = (r: Row): boolean => num(r.v) > 0 && num(r.u) > 0;

/** What pins say, typed as value and U by who asked the Go side. */
export const typedMM = (s: string): number => num(s) * (units.value === "in" ? MM_PER_INCH : 1);
export const asTyped = (mm: number): string =>
  (units.value === "in" ? mm / MM_PER_INCH : mm).toFixed(units.value === "in" ? 5 : 4);

/** Only a driven head's shank may stand off its centre. */
const hasShank = (kind: Kind | undefined, q: Quantity): boolean =>
  kind === "shop-head" && isDistance(q);

/** The reading of a row; undefined while it is not said what it goes to. */
export function readingOf(
  r: Row,
  instrument: string,
  goals: Goal[],
  kind: Kind | undefined,
): Reading | undefined {
  const k = units.value === "in" ? MM_PER_INCH : 1;
  const goal = goals.find((g) => g.value === r.to) ?? goals[0],
    named: Target | undefined = r.name.trim() ? { name: r.name.trim() } : undefined,
    of = goal && (goal.of ?? named);
  if (goal && !of) return undefined;
  return {
    quantity: r.q,
    value_mm: num(r.v) * k,
    U_mm: num(r.u) * k,
    how: "hand gauge",
    method: instrument,
    ...(of && { of }),
    ...(hasShank(kind, r.q) && r.from === "shank" && { from_shank: true }),
  };
}

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

export function GaugeRow({
  r,
  kind,
  goals,
  put,
  remove,
}: {
  r: Row;
  kind: Kind | undefined;
  goals: Goal[];
  put: (c: Partial<Row> | { pins: undefined }) => void;
  remove: (() => void) | undefined;
}) {
  const unit = units.value,
    pitch = r.q === "pitch" ? "pitch" : "edge";
  return (
    <div class="gauged stack">
      <Select<Quantity>
        label={w.gauge.quantity}
        value={r.q}
        set={(q) => put({ q, to: "nearest", name: "", ...(r.pins && { pins: undefined }) })}
        of={gaugeable
          .filter(
            (q) =>
              !q.startsWith(kind === "hole" ? "head" : "hole") &&
              (q !== "mandrel_off" || kind === "pulled-head") &&
              (q !== "head_height" || kind !== "flush-head"),
          )
          .map((q) => ({ value: q, text: upper(w.quantity[q]) }))}
      />
      {goals.length > 0 && (
        <Select
          label={w.gauge.goal[pitch]}
          value={r.to}
          set={(to) => put({ to })}
          of={goals.map((g) => ({ value: g.value, text: upper(g.text) }))}
          hint={w.gauge.onPhoto}
        />
      )}
      {goals.length > 0 && r.to === "other" && (
        <Field
          label={w.gauge.goalName[pitch]}
          hint={w.gauge.goalHint[pitch]}
          value={r.name}
          set={(name) => put({ name })}
        />
      )}
      {hasShank(kind, r.q) && (
        <Choice<Row["from"]>
          rows
          label={w.gauge.from}
          value={r.from}
          set={(from) => put({ from })}
          of={(["head", "shank"] as const).map((f) => ({ value: f, ...w.gauge.froms[f] }))}
        />
      )}
      {r.q === "hole_d_min" && (
        <Choice<"calipers" | "pins">
          label={w.gauge.by}
          value={r.pins ? "pins" : "calipers"}
          set={(x) =>
            put(
              x === "pins"
                ? { pins: { go: "", noGo: "" }, v: "", u: "" }
                : { pins: undefined, v: "", u: usualU().calipers },
            )
          }
          of={(["calipers", "pins"] as const).map((x) => ({ value: x, text: w.gauge.bys[x] }))}
        />
      )}
      {r.pins && <Pins pins={r.pins} put={put} />}
      <div class="two">
        <Field
          label={w.gauge.value}
          unit={unit}
          mode="decimal"
          value={r.v}
          set={(v) => put({ v })}
        />
        <Field label={w.gauge.u} unit={unit} mode="decimal" value={r.u} set={(u) => put({ u })} />
      </div>
      {remove && (
        <button type="button" class="link" onClick={remove}>
          {w.gauge.remove}
        </button>
      )}
    </div>
  );
}

/** A pin that goes in and one that does not: what they say of the hole is the Go side's. */
function Pins({ pins, put }: { pins: NonNullable<Row["pins"]>; put: (c: Partial<Row>) => void }) {
  const [wrong, setWrong] = useState<string>();
  const set = (p: NonNullable<Row["pins"]>): void => {
    put({ pins: p });
    setWrong(undefined);
    if (!p.go.trim() || !p.noGo.trim()) return;
    book.call("pins", { go_mm: typedMM(p.go), no_go_mm: typedMM(p.noGo) }).then(
      (r) => put({ pins: p, v: asTyped(r.value_mm), u: asTyped(r.U_mm) }),
      (e: unknown) => {
        put({ pins: p, v: "", u: "" });
        setWrong(e instanceof Refused ? sentence(e.refusal.text) : undefined);
      },
    );
  };
  return (
    <div class="two">
      <Field
        label={w.gauge.go}
        unit={units.value}
        mode="decimal"
        value={pins.go}
        set={(go) => set({ ...pins, go })}
      />
      <Field
        label={w.gauge.noGo}
        unit={units.value}
        mode="decimal"
        value={pins.noGo}
        set={(noGo) => set({ ...pins, noGo })}
        wrong={wrong}
      />
    </div>
  );
}
