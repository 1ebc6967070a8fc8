// A new measurement of a part's shape. Values may be negative: a height under the table's, the hand of
// a twist.
import { useState } from "preact/hooks";
import type { PartView, Seen, ShapeKind, ShapeState } from "../../bridge/types";
import { save } from "../../data/entries";
import { path } from "../../router";
import { w } from "../../words";
import { bw } from "../../words/bench";
import { Choice, Field, Select, Trouble } from "../kit/bits";
import { say } from "../kit/say";
import { V } from "../kit/shapes";
import { Act, Sheet } from "../kit/sheet";
import { useAsk, useKept } from "./form";
import { signed, whole } from "./numbers";
import { bent, inputOf, labels, none, seam, type Typed } from "./shapeinput";
import { ResultLines } from "./shaperesult";

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
      // What was read and looked at is of that one time.
      set({
        ...d,
        values: none.values,
        stations: d.stations.map((s) => ({ ...s, frame: "" })),
        wobble: "",
        cracks: none.cracks,
      });
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
          set={(kind) =>
            set({
              ...d,
              kind,
              // Degrees are no millimetres.
              ...(bent(kind) !== bent(d.kind) && {
                values: none.values,
                u: none.u,
                target: "",
                tolerance: "",
                source: "",
              }),
            })
          }
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
          {d.kind === "formed angle" && (
            <Field
              label={l.tweaks}
              mode="numeric"
              value={d.tweaks}
              set={(tweaks) => set({ ...d, tweaks })}
              wrong={Number.isNaN(whole(d.tweaks)) ? bw.whole : undefined}
            />
          )}
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
  const no = (s: string): string | undefined =>
    s.trim() && Number.isNaN(signed(s)) ? l.number : undefined;
  return (
    <fieldset class="stack">
      <legend>{l.stations}</legend>
      <p class="note">{l.stationsHint}</p>
      {d.stations.map((s, i) => (
        <div class="two" key={i}>
          <Field
            label={`${l.station} ${s.name}: ${l.frame.toLowerCase()}`}
            unit="mm"
            value={s.frame}
            set={(frame) => put(i, { frame })}
            wrong={no(s.frame)}
          />
          <Field
            label={`${l.station} ${s.name}: ${l.opening.toLowerCase()}`}
            unit="mm"
            value={s.opening}
            set={(opening) => put(i, { opening })}
            wrong={no(s.opening)}
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
