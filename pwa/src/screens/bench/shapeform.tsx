// A new measurement of a part's shape. Values may be negative: a height under the table's, the hand of
// a twist.
import { useState } from "preact/hooks";
import type { PartView, Seen, ShapeInput, ShapeKind, ShapeState } from "../../bridge/types";
import { save } from "../../data/entries";
import { path } from "../../router";
import { w } from "../../words";
import { bw } from "../../words/bench";
import { Choice, Field, Select, Trouble } from "../kit/bits";
import { say } from "../kit/say";
import { V } from "../kit/shapes";
import { Act, Sheet } from "../kit/sheet";
import { signed, useAsk, useKept } from "./form";
import { ResultLines } from "./shaperesult";

interface Typed {
  name: string;
  kind: ShapeKind;
  state: ShapeState;
  method: string;
  values: string[];
  stations: { name: string; frame: string; opening: string }[];
  u: string;
  base: string;
  width: string;
  length: string;
  target: string;
  tolerance: string;
  source: string;
  tweaks: string;
  wobble?: string;
  cracks: Seen;
}
const none: Typed = {
  name: "",
  kind: "twist",
  state: "imposed",
  method: "fourth corner",
  values: ["", "", "", ""],
  stations: [1, 2, 3, 4].map((n) => ({ name: String(n), frame: "", opening: "" })),
  u: "0.2",
  base: "0.1",
  width: "",
  length: "",
  target: "",
  tolerance: "",
  source: "",
  tweaks: "0",
  wobble: "",
  cracks: "not looked",
};

const seam = (k: ShapeKind): boolean => k === "flushness" || k === "gap";
const labels = (d: Typed): string[] => {
  const l = bw.shape;
  if (d.kind === "twist") return l.values[d.method] ?? [];
  if (d.kind === "squareness") return l.diagonals;
  if (seam(d.kind)) return [];
  return [d.kind === "formed angle" ? l.angle : l.one];
};

function inputOf(d: Typed): ShapeInput | undefined {
  const n = labels(d).length;
  const values = d.values.slice(0, n).map(signed);
  const stations = d.stations
    .filter((s) => s.frame.trim())
    .map((s) => ({
      name: s.name,
      frame_mm: signed(s.frame),
      ...(s.opening.trim() && { opening_mm: signed(s.opening) }),
    }));
  const optional = (k: string, s: string): Record<string, number> =>
    s.trim() ? { [k]: signed(s) } : {};
  const all = {
    ...optional("base_U_mm", d.kind === "twist" ? d.base : ""),
    ...optional("width_mm", d.kind === "twist" || d.kind === "squareness" ? d.width : ""),
    ...optional("length_mm", d.kind === "twist" || d.kind === "squareness" ? d.length : ""),
    ...optional("target_mm", d.target),
    ...optional("tolerance_mm", d.target.trim() ? d.tolerance : ""),
  };
  const numbers = [
    ...values,
    ...Object.values(all),
    signed(d.u),
    ...stations.flatMap((s) => [s.frame_mm, s.opening_mm ?? 0]),
  ];
  if (!d.name.trim() || numbers.some(Number.isNaN) || (seam(d.kind) && stations.length === 0))
    return undefined;
  return {
    name: d.name.trim(),
    kind: d.kind,
    state: d.state,
    U_mm: signed(d.u),
    ...(d.kind === "twist" && { method: d.method }),
    ...(seam(d.kind) ? { stations } : { values_mm: values }),
    ...all,
    ...(d.source.trim() && { source: d.source.trim() }),
    ...(d.kind === "formed angle" && {
      cracks: d.cracks,
      ...(signed(d.wobble ?? "") > 0 && { wobble_mm: signed(d.wobble!) }),
      ...(signed(d.tweaks) > 0 && { tweaks: Math.floor(signed(d.tweaks)) }),
    }),
  };
}

export function ShapeForm({ v, done }: { v: PartView; done: () => void }) {
  const l = bw.shape;
  const last = v.part.shapes?.at(-1);
  const like = v.part.like?.targets?.[0];
  const [d, set] = useKept<Typed>(`shape form ${v.part.id}`, {
    ...none,
    ...(like &&
      !last && {
        name: like.name,
        kind: like.kind,
        target: String(like.target_mm),
        tolerance: String(like.tolerance_mm),
        source: like.source,
      }),
    ...(last && {
      name: last.name,
      kind: last.kind,
      method: last.method ?? none.method,
      width: last.width_mm ? String(last.width_mm) : "",
      length: last.length_mm ? String(last.length_mm) : "",
      target: last.target_mm === undefined ? "" : String(last.target_mm),
      tolerance: last.tolerance_mm ? String(last.tolerance_mm) : "",
      source: last.source ?? "",
    }),
  });
  const [e, setE] = useState<unknown>();
  const input = inputOf(d);
  const told = useAsk("shape", input);
  const r = input ? told.value : undefined;
  const unit = d.kind === "formed angle" ? "°" : "mm";
  const field = (k: keyof Typed & string, label: string, hint?: string, u: string = unit) => (
    <Field
      label={label}
      {...(u && { unit: u })}
      value={(d[k] ?? "") as string}
      set={(x) => set({ ...d, [k]: x })}
      hint={hint}
      wrong={
        u && ((d[k] ?? "") as string).trim() && Number.isNaN(signed(d[k] as string))
          ? l.number
          : undefined
      }
    />
  );
  const keep = async (): Promise<void> => {
    if (!input || !r) return;
    try {
      await save([
        {
          kind: "shape",
          project: v.project.id,
          part: v.part.id,
          data: { ...input, result: r },
        },
      ]);
      say(l.saved);
      set({ ...d, values: none.values });
      done();
    } catch (x) {
      setE(x);
    }
  };
  return (
    <Sheet
      title={l.title}
      facts={v.part.name}
      back={path("part", v.part.id)}
      as="column"
      strip={
        <>
          <Act act={done}>{w.cancel}</Act>
          <Act go icon="save" why={r ? undefined : bw.typeFirst} act={() => void keep()}>
            {l.save}
          </Act>
        </>
      }
    >
      <div role="status">
        {r && (
          <div class="pad stack">
            {r.verdict && <V v={r.verdict} />}
            <ResultLines r={r} />
          </div>
        )}
      </div>
      <div class="pad stack">
        <Trouble e={e ?? (input ? told.error : undefined)} />
        {field("name", l.name, l.nameHint, "")}
        <Select<ShapeKind>
          label={l.kind}
          value={d.kind}
          set={(kind) => set({ ...d, kind })}
          of={(Object.keys(l.kinds) as ShapeKind[]).map((k) => ({ value: k, text: l.kinds[k] }))}
        />
        <Choice<ShapeState>
          label={l.state}
          value={d.state}
          set={(state) => set({ ...d, state })}
          of={(Object.keys(l.states) as ShapeState[]).map((k) => ({
            value: k,
            text: l.states[k],
          }))}
        />
        {d.kind === "twist" && (
          <Select
            label={l.method}
            value={d.method}
            set={(method) => set({ ...d, method })}
            of={Object.entries(l.methods).map(([value, text]) => ({ value, text }))}
            hint={l.methodNote}
          />
        )}
        <div class="two">
          {labels(d).map((label, i) => (
            <Field
              key={i}
              label={label}
              unit={unit}
              value={d.values[i] ?? ""}
              set={(x) =>
                set({
                  ...d,
                  values: none.values.map((_, j) => (j === i ? x : (d.values[j] ?? ""))),
                })
              }
              wrong={
                d.values[i]?.trim() && Number.isNaN(signed(d.values[i]!)) ? l.number : undefined
              }
            />
          ))}
          {field("u", l.u)}
          {d.kind === "twist" && field("base", l.base)}
          {(d.kind === "twist" || d.kind === "squareness") && field("width", l.width, l.widthHint)}
          {(d.kind === "twist" || d.kind === "squareness") && field("length", l.length)}
          {d.kind === "formed angle" && field("tweaks", l.tweaks, undefined, "")}
          {d.kind === "formed angle" && field("wobble", l.wobble, l.wobbleHint, "mm")}
        </div>
        {seam(d.kind) && <Stations d={d} set={set} />}
        {d.kind === "formed angle" && (
          <Choice<Seen>
            label={l.cracks}
            value={d.cracks}
            set={(cracks) => set({ ...d, cracks })}
            of={(["no", "yes", "not looked"] as const).map((k) => ({ value: k, text: l.seen[k] }))}
          />
        )}
        <div class="two">
          {field("target", l.target, l.targetHint)}
          {field("tolerance", l.tolerance)}
          {field("source", l.source, l.sourceHint, "")}
        </div>
      </div>
    </Sheet>
  );
}

function Stations({ d, set }: { d: Typed; set: (d: Typed) => void }) {
  const l = bw.shape;
  const put = (i: number, x: Partial<Typed["stations"][number]>): void =>
    set({ ...d, stations: d.stations.map((s, j) => (j === i ? { ...s, ...x } : s)) });
  return (
    <fieldset class="stack">
      <legend>{l.stations}</legend>
      {d.stations.map((s, i) => (
        <div class="two" key={i}>
          <Field
            label={`${l.station} ${s.name}: ${l.frame.toLowerCase()}`}
            unit="mm"
            value={s.frame}
            set={(frame) => put(i, { frame })}
          />
          <Field
            label={l.opening}
            unit="mm"
            value={s.opening}
            set={(opening) => put(i, { opening })}
          />
        </div>
      ))}
      <button
        class="link"
        type="button"
        onClick={() =>
          set({
            ...d,
            stations: [
              ...d.stations,
              { name: String(d.stations.length + 1), frame: "", opening: "" },
            ],
          })
        }
      >
        {l.addStation}
      </button>
    </fieldset>
  );
}
