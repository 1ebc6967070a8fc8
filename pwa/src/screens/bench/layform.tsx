// The layout helper's fields.
import type { Tool } from "../../bridge/types";
import { bw } from "../../words/bench";
import { Choice, Field, Select } from "../kit/bits";
import { units } from "../prefs";
import { degrees, whole, type Lengths } from "./numbers";
import { noLayer, TYPED, type LayTyped, type LengthKey, type Shape } from "./layinput";

export function LayForm({
  d,
  set,
  mm,
  tools,
}: {
  d: LayTyped;
  set: (d: LayTyped) => void;
  mm: Lengths<string> | undefined;
  tools: Tool[];
}) {
  const l = bw.lay;
  const len = (k: LengthKey, label: string, hint?: string) => (
    <Field
      label={label}
      unit={units.value}
      mode="text"
      value={d[k]}
      set={(x) => set({ ...d, [k]: x })}
      hint={hint}
      wrong={mm?.[k]?.wrong}
    />
  );
  return (
    <>
      <div class="pad stack">
        <Choice<Shape>
          label={l.shape}
          value={d.shape}
          set={(shape) => set({ ...d, shape })}
          of={[
            { value: "angle", text: l.angle },
            { value: "strip", text: l.strip },
            { value: "corner", text: l.corner },
          ]}
        />
        <div class="two">
          {len("width", d.shape === "strip" ? l.width : l.widthAngle, l.widthHint[d.shape])}
          {len("length", l.length)}
          {len("sheet", l.sheet)}
          {d.shape === "angle" && len("radius", l.radius)}
          {d.shape === "angle" && len("stand", l.stand, l.standHint)}
          {d.shape === "angle" && (
            <Field
              label={l.bent}
              unit="°"
              mode="decimal"
              value={d.bent}
              set={(bent) => set({ ...d, bent })}
              wrong={Number.isNaN(degrees(d.bent)) ? bw.degrees : undefined}
            />
          )}
        </div>
        {d.shape === "corner" && (
          <div class="two">
            {len("width2", `${l.second}: ${l.width.toLowerCase()}`)}
            {len("length2", `${l.second}: ${l.length.toLowerCase()}`)}
            <Field
              label={l.angleBetween}
              unit="°"
              mode="decimal"
              value={d.angle}
              set={(angle) => set({ ...d, angle })}
              wrong={Number.isNaN(degrees(d.angle)) ? bw.degrees : undefined}
            />
            {len("tube", l.tube, l.tubeHint)}
            {len("tube2", l.tube2, l.tubeHint)}
            {len("corner", l.cornerRadius)}
            {len("starts", l.tubeStarts, l.tubeStartsHint)}
          </div>
        )}
        {d.shape === "angle" && (
          <div class="two">
            <Select
              label={l.tool}
              value={d.tool}
              set={(tool) => set({ ...d, tool })}
              of={[
                { value: "", text: l.noTool },
                ...tools.map((t) => ({ value: t.name, text: t.name })),
                { value: TYPED, text: l.typedTool },
              ]}
              hint={
                <a class="link" href="/tools">
                  {l.ownTools}
                </a>
              }
            />
            {d.tool !== "" && len("margin", l.margin)}
            {d.tool === TYPED && len("nose", l.nose)}
            {d.tool === TYPED && len("noseLength", l.noseLength)}
            {d.tool === TYPED && len("body", l.body)}
          </div>
        )}
        <Choice
          label={l.rows}
          value={d.rows}
          set={(rows) => set({ ...d, rows })}
          of={[
            { value: "1", text: l.one },
            { value: "2", text: l.two },
          ]}
        />
        <div class="two">
          {d.shape !== "corner" && (
            <Field
              label={l.count}
              mode="numeric"
              value={d.count}
              set={(count) => set({ ...d, count })}
              wrong={Number.isNaN(whole(d.count)) ? bw.whole : undefined}
              hint={l.free}
            />
          )}
          {len("pitch", l.pitch, l.free)}
          {len("end", l.end, l.free)}
          {d.shape !== "corner" && len("row", l.row, l.free)}
        </div>
      </div>
      {d.shape !== "corner" && (
        <>
          <div class="head">
            <h2>{l.layers}</h2>
            <button
              class="link"
              type="button"
              onClick={() => set({ ...d, layers: [...d.layers, noLayer] })}
            >
              {l.addLayer}
            </button>
          </div>
          {d.layers.length > 0 && (
            <div class="pad stack">
              <p class="note">{l.layerHint}</p>
              {d.layers.map((y, i) => {
                const put = (k: keyof typeof y, label: string) => (
                  <Field
                    label={label}
                    value={y[k]}
                    {...(k !== "name" && { unit: units.value })}
                    wrong={mm?.[`${k}:${i}`]?.wrong}
                    set={(x) =>
                      set({
                        ...d,
                        layers: d.layers.map((o, j) => (j === i ? { ...o, [k]: x } : o)),
                      })
                    }
                  />
                );
                return (
                  <div class="two" key={i}>
                    {put("name", l.layerName)}
                    {put("from", l.from)}
                    {put("to", l.to)}
                    {put("start", l.start)}
                    {put("end", l.ends)}
                  </div>
                );
              })}
            </div>
          )}
        </>
      )}
    </>
  );
}
