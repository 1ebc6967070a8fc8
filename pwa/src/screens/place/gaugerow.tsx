// One reading by hand as it is typed.
import type { Kind, Quantity, Reading, Target } from "../../bridge/types";
import { w } from "../../words";
import { Choice, Field, Select, upper } from "../kit/bits";
import { decimal, notDecimal } from "../kit/decimal";
import { units } from "../prefs";
import { gaugeable } from "./gaugeable";
import { isDistance, type Goal } from "./target";

export interface Row {
  q: Quantity;
  /** What a distance goes to: the value of a goal; name where that is "other". */
  to: string;
  name: string;
  from: "head" | "shank";
  /** Of an edge distance: whose edge; "" that of the sheet on the photo, OTHER one that is typed. */
  layer: string;
  layerName: string;
  v: string;
  u: string;
}

export const OTHER = "\u0000other";

/** What hand gauges usually leave open, in the unit that is typed: calipers, and a rule read to half a millimetre. */
export const usualU = () =>
  units.value === "in" ? { calipers: "0.002", rule: "0.02" } : { calipers: "0.05", rule: "0.5" };

export const freshRow = (q: Quantity, u = usualU().calipers): Row => ({
  q,
  to: "nearest",
  name: "",
  from: "head",
  layer: "",
  layerName: "",
  v: "",
  u,
});

const MM_PER_INCH = 25.4;

export const isGood = (r: Row): boolean => decimal(r.v) > 0 && decimal(r.u) > 0;

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
  const layer = (r.layer === OTHER ? r.layerName : r.layer).trim();
  if ((goal && !of) || (r.layer === OTHER && !layer)) return undefined;
  return {
    quantity: r.q,
    value_mm: decimal(r.v) * k,
    U_mm: decimal(r.u) * k,
    how: "hand gauge",
    method: instrument,
    ...(layer ? r.q === "edge_distance" && { layer } : of && { of }),
    ...(hasShank(kind, r.q) && r.from === "shank" && { from_shank: true }),
  };
}

export function GaugeRow({
  r,
  kind,
  measured,
  goals,
  layers,
  put,
  remove,
}: {
  r: Row;
  kind: Kind | undefined;
  /** Whether it is known that this is what stands there. */
  measured: boolean;
  goals: Goal[];
  /** Names of the part's other layers. */
  layers: string[];
  put: (c: Partial<Row>) => void;
  remove: (() => void) | undefined;
}) {
  const unit = units.value,
    pitch = r.q === "pitch" ? "pitch" : "edge";
  return (
    <div class="gauged stack">
      <Select<Quantity>
        label={w.gauge.quantity}
        value={r.q}
        set={(q) => put({ q, to: "nearest", name: "", layer: "" })}
        of={gaugeable(kind, measured).map((q) => ({ value: q, text: upper(w.quantity[q]) }))}
      />
      {r.q === "edge_distance" && (
        <Select
          label={w.gauge.layer}
          value={r.layer}
          set={(layer) => put({ layer })}
          of={[
            { value: "", text: w.gauge.layerSeen },
            ...layers.map((x) => ({ value: x, text: x })),
            { value: OTHER, text: w.gauge.layerOther },
          ]}
        />
      )}
      {r.q === "edge_distance" && r.layer === OTHER && (
        <Field
          label={w.gauge.layerName}
          value={r.layerName}
          set={(layerName) => put({ layerName })}
        />
      )}
      {goals.length > 0 && !r.layer && (
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
      <div class="two">
        <Field
          label={w.gauge.value}
          unit={unit}
          mode="decimal"
          value={r.v}
          set={(v) => put({ v })}
          wrong={notDecimal(r.v)}
        />
        <Field
          label={w.gauge.u}
          unit={unit}
          mode="decimal"
          value={r.u}
          set={(u) => put({ u })}
          wrong={notDecimal(r.u)}
        />
      </div>
      {remove && (
        <button type="button" class="link" onClick={remove}>
          {w.gauge.remove}
        </button>
      )}
    </div>
  );
}
