// Bending an angle or a channel: flat pattern, lines, radius by the alloy.
import { useState } from "preact/hooks";
import type { BendFlat, BendInput } from "../../bridge/types";
import { handOver } from "../../capture/files";
import { makeTemplate } from "../../data/template";
import { path } from "../../router";
import { w } from "../../words";
import { bw } from "../../words/bench";
import { shown, useLive, wide } from "../hooks";
import { Field, Select, sentence, Trouble } from "../kit/bits";
import { say } from "../kit/say";
import { Shape, verdictShape } from "../kit/shapes";
import { Act, Sheet } from "../kit/sheet";
import { units } from "../prefs";
import { Said } from "./bounds";
import { typed, useAsk, useKept, useLengths } from "./form";
import { degrees } from "./numbers";
import { SketchView } from "./sketch";
import { Opening } from "../kit/opening";

const keys = ["sheet", "radius", "a", "b", "c", "length"] as const;
type Key = (typeof keys)[number];
type Typed = Record<Key, string> & { alloy: string; angle: string; formula: string };

const nothing = {};

export function BendScreen({ id }: { id: string }) {
  const view = useLive("state.part", { id });
  const v = view.value;
  const choices = useAsk("bend.choices", nothing).value;
  const plan = v?.part.layout?.plan;
  const leg = plan?.legs.length === 1 ? plan.legs[0] : undefined;
  const [d, set] = useKept<Typed | undefined>(`bend ${units.value} ${id}`, undefined);
  const [busy, setBusy] = useState(false);
  const [e, setE] = useState<unknown>();
  const l = bw.bend;
  const now: Typed = d ?? {
    sheet: typed(leg?.thickness_mm ?? v?.part.layers?.[0]?.thickness_mm),
    radius: typed(leg?.bend?.radius_mm),
    a: typed(leg?.bend?.leg_mm),
    b: leg?.bend ? typed(leg.width_mm) : "",
    c: "",
    length: typed(leg?.length_mm),
    alloy: "",
    angle: String(leg?.bend?.angle_deg ?? 90),
    formula: "a",
  };
  const { alloy, angle, formula, ...texts } = now;
  const mm = useLengths(texts);
  const laid = useAsk("layout", leg?.bend ? plan : undefined).value;
  const wrong = mm && (keys.some((k) => mm[k].wrong) || Number.isNaN(degrees(angle)));
  const ready =
    mm &&
    !wrong &&
    (["sheet", "radius", "a", "b", "length"] as const).every((k) => mm[k].mm !== undefined);
  // The layout's holes lie on the second leg here, if it is still the one that was laid out.
  const near = (a: number | undefined, b: number): boolean => Math.abs((a ?? 0) - b) < 0.01; // typed in inches
  const same =
    leg?.bend && ready && near(mm.b.mm, leg.width_mm) && near(mm.sheet.mm, leg.thickness_mm);
  const input: BendInput | undefined = ready
    ? {
        name: v?.part.name ?? "",
        thickness_mm: mm.sheet.mm!,
        radius_mm: mm.radius.mm!,
        angle_deg: degrees(angle),
        legs_mm: [mm.a.mm!, mm.b.mm!, ...(mm.c.mm ? [mm.c.mm] : [])],
        length_mm: mm.length.mm!,
        formula,
        ...(plan?.mirrored && { mirrored: true }),
        ...(alloy && { alloy }),
        ...(same &&
          laid?.holes && {
            holes: laid.holes.map((h, i) => ({
              tag: h.tag,
              leg: 2,
              across_mm: h.across_mm,
              along_mm: h.along_mm,
              d_mm: laid.sketch.holes?.[i]?.d_mm ?? 2.5,
            })),
          }),
      }
    : undefined;
  const told = useAsk("bend", input);
  const f = input ? told.value : undefined;
  if (!v) return <Opening title={l.title} back={path("part", id)} error={view.error} />;
  const len = (k: Key, label: string, hint?: string) => (
    <Field
      label={label}
      unit={units.value}
      value={now[k]}
      set={(x) => set({ ...now, [k]: x })}
      hint={hint}
      wrong={mm?.[k]?.wrong}
    />
  );
  const print = async (): Promise<void> => {
    if (busy || !input) return;
    setBusy(true);
    try {
      const paper = v.project.paper;
      const file = await makeTemplate({ paper, units: units.value, bend: input });
      await handOver(`${l.file}-${paper}.pdf`, file);
      say(bw.printed);
    } catch (x) {
      setE(x);
    } finally {
      setBusy(false);
    }
  };
  return (
    <Sheet
      title={l.title}
      facts={v.part.name}
      back={path("part", id)}
      as={wide.value ? "split" : ""}
      cell={{ label: w.settings.units.toLowerCase(), value: units.value }}
      strip={
        <>
          <Act to={path("part", id, "shape")}>{l.check}</Act>
          <Act
            go
            icon="save"
            why={f ? undefined : wrong ? bw.unread : bw.typeFirst}
            act={() => void print()}
          >
            {busy ? bw.making : l.pattern}
          </Act>
        </>
      }
    >
      <div class="left">
        {f && (
          <div class="answer" role="status">
            <b>{l.widthIs(shown(f.width_mm).value)}</b>
            <span class="label">{l.spread(shown(f.spread_mm).value)}</span>
          </div>
        )}
        {f?.radius && (
          <div class="answer">
            <span class={`v ${verdictShape[f.radius.verdict]}`}>
              <Shape s={verdictShape[f.radius.verdict]} />
              <span>{l.verdict[f.radius.verdict]}</span>
            </span>
            <p>
              {sentence(f.radius.text)}{" "}
              <small>
                {f.radius.row.source}; {f.radius.from}
              </small>
            </p>
          </div>
        )}
        {f && <SketchView s={f.sketch} label={l.drawing} />}
        {!f && !told.error && <p class="pad note">{wrong ? bw.unread : bw.typeFirst}</p>}
        <div class="pad">
          <Trouble e={e ?? (input ? told.error : undefined)} />
        </div>
      </div>
      <section class="right">
        <div class="pad stack">
          <div class="two">
            {len("sheet", bw.lay.sheet)}
            {len("radius", bw.lay.radius)}
            <Field
              label={l.angle}
              unit="°"
              mode="decimal"
              value={angle}
              set={(x) => set({ ...now, angle: x })}
              wrong={Number.isNaN(degrees(angle)) ? bw.degrees : undefined}
            />
            {len("a", l.first)}
            {len("b", l.secondLeg)}
            {len("c", l.third, l.thirdHint)}
            {len("length", l.length)}
          </div>
          <Select
            label={l.alloy}
            value={alloy}
            set={(x) => set({ ...now, alloy: x })}
            of={[
              { value: "", text: l.noAlloy },
              ...(choices?.alloys ?? []).map((a) => ({ value: a, text: a })),
            ]}
          />
          <Select
            label={l.formula}
            value={formula}
            set={(x) => set({ ...now, formula: x })}
            of={(choices?.formulas ?? []).map((x) => ({
              value: x.name,
              text: `${x.name}: ${x.words}`,
            }))}
          />
        </div>
        {f && <Figures f={f} />}
      </section>
    </Sheet>
  );
}

function Figures({ f }: { f: BendFlat }) {
  const l = bw.bend;
  const row = (name: string, mm: number, more?: string) => (
    <tr>
      <td>
        {name}
        {more && <small>{more}</small>}
      </td>
      <td>
        {shown(mm).value}
        <small>{shown(mm).fraction}</small>
      </td>
    </tr>
  );
  return (
    <>
      <div class="head">
        <h2>{l.figures}</h2>
      </div>
      <table class="figs sums">
        <tbody>
          {row(l.setback, f.setback_mm)}
          {f.flats_mm.map((x, i) => row(l.flat(i + 1), x))}
          {row(
            l.allowance,
            f.allowance_mm,
            `${f.by.name}: ${f.by.words}; ${f.by.source}; ${f.by.from}`,
          )}
          {row(l.deduction, f.deduction_mm)}
        </tbody>
      </table>
      <div class="head">
        <h2>{l.by}</h2>
      </div>
      <table class="figs sums">
        <tbody>
          {f.others.map((o) => row(`${o.name}: ${o.words}`, o.width_mm, `${o.source}; ${o.from}`))}
        </tbody>
      </table>
      <div class="head">
        <h2>{l.lines}</h2>
      </div>
      <table class="figs sums">
        <tbody>{f.lines.map((x) => row(x.name, x.at_mm))}</tbody>
      </table>
      {f.holes && (
        <>
          <div class="head">
            <h2>{l.holes}</h2>
          </div>
          <p class="pad note">{l.holesNote}</p>
          <table class="figs sums">
            <tbody>
              {f.holes.map((h) =>
                row(
                  h.tag,
                  h.on_blank_mm,
                  h.note ??
                    (h.clear_mm < 0
                      ? l.inBend(shown(-h.clear_mm).value)
                      : l.clear(shown(h.clear_mm).value)),
                ),
              )}
            </tbody>
          </table>
        </>
      )}
      <Said title={bw.notes} of={f.notes} />
    </>
  );
}
