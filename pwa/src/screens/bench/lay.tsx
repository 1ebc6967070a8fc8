// Laying out rivets on a leg, a strip or a gusset corner, to scale, before anything is drilled.
import { useEffect, useState } from "preact/hooks";
import type { Draft, LayAnswer, LegAnswer } from "../../bridge/types";
import { handOver } from "../../capture/files";
import { save } from "../../data/entries";
import { makeTemplate } from "../../data/template";
import { go, path } from "../../router";
import { w } from "../../words";
import { bw } from "../../words/bench";
import { shown, useLive, wide } from "../hooks";
import { sentence, Trouble } from "../kit/bits";
import { say } from "../kit/say";
import { Act, Sheet } from "../kit/sheet";
import { units } from "../prefs";
import { Bounds, Cures, Said } from "./bounds";
import { useAsk, useKept, useLengths } from "./form";
import { LayForm } from "./layform";
import { layInput, lengthTexts, noLayout, plain, unreadable, type LayTyped } from "./layinput";
import { typedOf } from "./laykept";
import { SketchView } from "./sketch";
import { Opening } from "../kit/opening";

export function LayScreen({ id }: { id: string }) {
  const view = useLive("state.part", { id });
  const v = view.value;
  const tools = v?.project.tools ?? [];
  const [d, set] = useKept<LayTyped>(`lay ${units.value} ${id}`, noLayout);
  const [busy, setBusy] = useState(false);
  const [e, setE] = useState<unknown>();
  const plan = v?.part.layout?.plan;
  useEffect(() => {
    if (plan && !d.width) set(typedOf(plan, tools));
  }, [v?.part.layout_entry]);
  const mm = useLengths(lengthTexts(d));
  const input =
    v?.spec && mm
      ? layInput(d, mm, { spec: v.spec, name: v.part.name, tools: tools.map(plain) })
      : undefined;
  const told = useAsk("layout", input);
  const a = input ? told.value : undefined;
  const l = bw.lay;
  if (!v) return <Opening title={l.title} back={path("part", id)} error={view.error} />;
  const live = v.places.map((p) => p.location).filter((x) => !x.out);
  const first =
    1 + Math.max(0, ...live.filter((x) => /^R\d+$/.test(x.tag)).map((x) => Number(x.tag.slice(1))));
  const holes = a?.holes ?? [];
  const tag = (i: number): string => `R${first + i}`;
  const needs = mm && unreadable(d, mm) ? bw.unread : bw.typeFirst;
  const nothing = !v.spec
    ? bw.needRivet
    : !input
      ? needs
      : holes.length === 0
        ? l.nothing
        : undefined;
  const pinned = live.some((x) => x.pin) ? l.hasPins : undefined;
  const make = async (): Promise<void> => {
    if (!a || !input) return;
    const { min, max } = a.sketch;
    const size = [max[0] - min[0], max[1] - min[1]] as const;
    const about = { project: v.project.id, part: id };
    const drafts: Draft[] = [
      {
        kind: "layout",
        ...about,
        data: { width_mm: size[0], height_mm: size[1], plan: input },
      },
      ...holes.map((h, i): Draft => ({
        kind: "location",
        ...about,
        data: {
          tag: tag(i),
          pin: { x: (h.at[0] - min[0]) / size[0], y: (h.at[1] - min[1]) / size[1] },
        },
      })),
    ];
    try {
      await save(drafts);
      say(l.made(holes.length));
      go(path("part", id));
    } catch (x) {
      setE(x);
    }
  };
  const print = async (): Promise<void> => {
    if (busy || !input) return;
    setBusy(true);
    try {
      const paper = v.project.paper;
      const file = await makeTemplate({ paper, units: units.value, layout: input });
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
          <Act act={() => void print()} why={nothing}>
            {busy ? bw.making : l.template}
          </Act>
          <Act go icon="save" why={nothing ?? pinned} act={() => void make()}>
            {holes.length > 0 ? l.make(tag(0), tag(holes.length - 1)) : l.makeNone}
          </Act>
        </>
      }
    >
      <div class="left">
        {a ? <Answer a={a} /> : null}
        {a && <SketchView s={a.sketch} label={l.drawing(holes.length)} />}
        {!a && !told.error && <p class="pad note">{!v.spec ? bw.needRivet : needs}</p>}
        <div class="pad">
          <Trouble e={e ?? (input ? told.error : undefined)} />
        </div>
      </div>
      <section class="right">
        <LayForm d={d} set={set} mm={mm} tools={tools} />
        {a && <Found a={a} tag={tag} d={d} take={(n) => set({ ...d, count: String(n) })} />}
      </section>
    </Sheet>
  );
}

/** The first line: how many, how far apart, or that there is no band. */
function Answer({ a }: { a: LayAnswer }) {
  const l = bw.lay;
  return (
    <>
      {a.legs.map((x, i) => {
        const n = (a.holes ?? []).filter((h) => h.leg === i).length;
        const room = shown(x.band.high_mm - x.band.low_mm).value;
        return (
          <div class="answer" role="status">
            <b>
              {a.legs.length > 1 && `${l.leg(i + 1)}: `}
              {!x.band.open
                ? l.none
                : x.problem
                  ? l.nothing
                  : x.pitch_mm
                    ? l.answer(n, shown(x.pitch_mm).number)
                    : l.single(n)}
            </b>
            <span class="label">
              {x.band.open ? l.band(room) : l.short(shown(x.band.short_mm ?? 0).value)}
            </span>
            {x.problem && <p>{sentence(x.problem)}</p>}
          </div>
        );
      })}
    </>
  );
}

function Found({
  a,
  tag,
  d,
  take,
}: {
  a: LayAnswer;
  tag: (i: number) => string;
  d: LayTyped;
  take: (n: number) => void;
}) {
  const l = bw.lay;
  return (
    <>
      {a.legs.map((x, i) => (
        <>
          <Cures of={x.band.cures} />
          {x.options && d.shape !== "corner" && !x.problem && <Options x={x} take={take} />}
          <Said
            title={bw.notes}
            of={[
              x.diagonal_mm && x.rows_mm?.[1]
                ? l.diagonal(shown(x.rows_mm[1] - x.rows_mm[0]!).value, shown(x.diagonal_mm).value)
                : undefined,
              ...(x.notes ?? []),
              ...(i === 0 ? (a.notes ?? []) : []),
            ]}
          />
        </>
      ))}
      {(a.holes ?? []).length > 0 && (
        <>
          <div class="head">
            <h2>{l.positions}</h2>
          </div>
          <p class="pad note">{l.datum[d.shape]}</p>
          <table class="figs">
            <thead>
              <tr>
                {l.positionsHead.map((h) => (
                  <th scope="col">{h}</th>
                ))}
              </tr>
            </thead>
            <tbody>
              {(a.holes ?? []).map((h, i) => (
                <tr>
                  <td>
                    {tag(i)}
                    {a.legs.length > 1 && <small>{l.leg(h.leg + 1)}</small>}
                  </td>
                  <Place mm={h.along_mm} />
                  <Place mm={h.across_mm} />
                </tr>
              ))}
            </tbody>
          </table>
        </>
      )}
      <div class="head">
        <h2>{bw.limits}</h2>
      </div>
      {a.legs.map((x, i) => (
        <>
          {a.legs.length > 1 && <h3 class="pad">{l.leg(i + 1)}</h3>}
          <Bounds of={x.band.bounds} low={x.band.low} high={x.band.high} />
          {x.band.open && x.band.free_low_mm < x.band.low_mm && (
            <p class="pad note">
              {l.without(shown(x.band.free_low_mm).number, shown(x.band.free_high_mm).value)}
            </p>
          )}
          <Bounds of={x.along ?? []} />
        </>
      ))}
      <Bounds of={a.pitches} />
      <p class="pad note">{bw.caution}</p>
    </>
  );
}

/** A place in millimetres and as a fraction of an inch. */
function Place({ mm }: { mm: number }) {
  const s = shown(mm);
  return (
    <td>
      {s.value}
      <small>{s.fraction}</small>
    </td>
  );
}

function Options({ x, take }: { x: LegAnswer; take: (n: number) => void }) {
  const l = bw.lay;
  return (
    <>
      <div class="head">
        <h2>{l.options}</h2>
      </div>
      <table class="figs counts">
        <thead>
          <tr>
            {l.optionsHead.map((h) => (
              <th scope="col">{h}</th>
            ))}
          </tr>
        </thead>
        <tbody>
          {x.options!.map((o) => (
            <tr class={o.chosen ? "chosen" : ""}>
              <td>
                {o.fits && !o.chosen ? (
                  <button class="link" type="button" onClick={() => take(o.count)}>
                    {l.choose(o.count)}
                  </button>
                ) : (
                  o.count
                )}
                {o.why && <small>{o.why}</small>}
              </td>
              <td>{shown(o.pitch_mm).value}</td>
              <td>{o.in_d.toFixed(2)} D</td>
            </tr>
          ))}
        </tbody>
      </table>
    </>
  );
}
