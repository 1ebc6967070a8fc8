// Which of the builder's tools has room at a hole beside a standing leg, judged on the mark.
import { useState } from "preact/hooks";
import type { Fit, LegLine } from "../../bridge/types";
import { save } from "../../data/entries";
import { path } from "../../router";
import { w } from "../../words";
import { bw } from "../../words/bench";
import { shown, useLive } from "../hooks";
import { Choice, Field, Select, sentence, Trouble } from "../kit/bits";
import { say } from "../kit/say";
import { V } from "../kit/shapes";
import { Act, Sheet } from "../kit/sheet";
import { units } from "../prefs";
import { typed, useAsk, useKept, useLengths } from "./form";
import { degrees } from "./numbers";
import { plain } from "./layinput";
import { Opening } from "../kit/opening";

const keys = ["axis", "u", "sheet", "radius", "stand", "margin"] as const;
type Key = (typeof keys)[number];
type Line = "outer face" | "inner face" | "bend tangent";
type Typed = Record<Key, string> & {
  on: "rivet" | "mark";
  photo: string;
  line: Line;
  bent?: string;
};

export function RoomScreen({ id }: { id: string }) {
  const view = useLive("state.part", { id });
  const v = view.value;
  const bend = v?.part.layout?.plan?.legs[0]?.bend;
  const [d, set] = useKept<Typed | undefined>(`room ${units.value} ${id}`, undefined);
  const [e, setE] = useState<unknown>();
  const r = bw.room;
  const now: Typed = d ?? {
    axis: "",
    u: typed(0.2),
    sheet: typed(bend?.thickness_mm),
    radius: typed(bend?.radius_mm),
    stand: typed(bend?.leg_mm),
    margin: typed(v?.part.layout?.plan?.margin_mm ?? 1),
    on: "rivet",
    photo: "",
    line: "inner face",
    bent: String(bend?.angle_deg ?? 90),
  };
  const { on, photo, line, bent = "90", ...texts } = now;
  const mm = useLengths(texts);
  const tools = v?.project.tools ?? [];
  const ready =
    mm && (["axis", "u", "sheet", "stand"] as const).every((k) => mm[k].mm !== undefined);
  const wrong = mm && (keys.some((k) => mm[k].wrong) || Number.isNaN(degrees(bent)));
  const legs = useLive("legs", { id }).value ?? [];
  const read = legs.find((x) => lineKey(x) === photo);
  const ask = (read ? mm?.sheet.mm !== undefined && mm.stand.mm !== undefined : ready) &&
    mm &&
    !wrong &&
    tools.length > 0 && {
      axis: read?.reading ?? {
        value_mm: mm.axis.mm!,
        U_mm: mm.u.mm!,
        how: "hand gauge" as const,
      },
      ...(read && { line }),
      tools: tools.map(plain),
      bend: {
        thickness_mm: mm.sheet.mm!,
        radius_mm: mm.radius.mm ?? 0,
        leg_mm: mm.stand.mm!,
        angle_deg: degrees(bent),
      },
      ...(on === "rivet" && v?.spec && { spec: v.spec }),
      head: { diameter_mm: 0, height_mm: 0 },
      margin_mm: mm.margin.mm ?? 0,
    };
  const told = useAsk("room", ask || undefined);
  if (!v) return <Opening title={r.title} back={path("part", id)} error={view.error} />;
  const axis = told.value?.axis;
  const fits = (ask && told.value?.fits) || [];
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
  const keep = async (): Promise<void> => {
    const said = fits.map((f) => `${f.tool.name}: ${lines(f).join("; ")}`);
    try {
      await save([
        {
          kind: "note",
          project: v.project.id,
          part: id,
          data: {
            text: [r.keepTitle(axis ? shown(axis.value_mm, axis.U_mm).with_u : ""), ...said].join(
              "\n",
            ),
          },
        },
      ]);
      say(r.kept);
    } catch (x) {
      setE(x);
    }
  };
  return (
    <Sheet
      title={r.title}
      facts={v.part.name}
      back={path("part", id)}
      as="column"
      cell={{ label: w.settings.units.toLowerCase(), value: units.value }}
      strip={
        <>
          <Act to="/tools">{bw.tools.title}</Act>
          <Act go icon="save" why={fits.length ? undefined : r.keepNeeds} act={() => void keep()}>
            {r.keep}
          </Act>
        </>
      }
    >
      <div class="pad stack">
        {legs.length > 0 && (
          <Select
            label={r.photo}
            hint={r.photoHint}
            value={read ? photo : ""}
            set={(x) => set({ ...now, photo: x })}
            of={[
              { value: "", text: r.photoNone },
              ...legs.map((x) => ({
                value: lineKey(x),
                text: `${x.tag}: ${shown(x.reading.value_mm, x.reading.U_mm).with_u}`,
              })),
            ]}
          />
        )}
        {read ? (
          <Choice<Line>
            label={r.line}
            value={line}
            set={(x) => set({ ...now, line: x })}
            of={(Object.keys(r.lines) as Line[]).map((x) => ({ value: x, text: r.lines[x] }))}
          />
        ) : (
          <div class="two">
            {len("axis", r.axis, r.axisHint)}
            {len("u", r.u, r.uHint)}
          </div>
        )}
        <Choice
          label={r.stage}
          value={on}
          set={(x) => set({ ...now, on: x })}
          of={[
            { value: "rivet" as const, text: r.rivet },
            { value: "mark" as const, text: r.mark },
          ]}
        />
        <div class="two">
          {len("sheet", bw.lay.sheet)}
          {len("radius", bw.lay.radius)}
          {len("stand", bw.lay.stand, bw.lay.standHint)}
          <Field
            label={bw.lay.bent}
            unit="°"
            mode="decimal"
            value={bent}
            set={(x) => set({ ...now, bent: x })}
            wrong={Number.isNaN(degrees(bent)) ? bw.degrees : undefined}
          />
          {len("margin", bw.lay.margin)}
        </div>
        {tools.length === 0 && (
          <p>
            {r.noTools}{" "}
            <a class="link" href="/tools">
              {bw.tools.title}
            </a>
          </p>
        )}
        <Trouble e={e ?? (ask ? told.error : undefined)} />
      </div>
      <div role="status">
        {fits.map((f) => (
          <div>
            <div class="head">
              <h2>{f.tool.name}</h2>
              <V v={f.verdict} />
            </div>
            <ul class="bounds">
              {f.checks.map((c) => (
                <li>
                  <span class="at">
                    <span>{r.obstacle[c.obstacle] ?? c.obstacle}</span>
                    <V v={c.verdict} />
                  </span>
                  <small>
                    {c.gap_mm < 0
                      ? r.hits(shown(-c.gap_mm, c.U_mm).with_u)
                      : r.gap(shown(c.gap_mm, c.U_mm).with_u, shown(c.need_mm).value)}
                    . {sentence(r.least(shown(c.limit.min_mm ?? 0).value))} {c.limit.source};{" "}
                    {c.from}
                  </small>
                </li>
              ))}
              {f.turned && (
                <li>
                  <b>{r.fitsTurned}</b>
                </li>
              )}
              {f.cures?.map((c) => (
                <li>{sentence(c)}</li>
              ))}
            </ul>
          </div>
        ))}
      </div>
      <p class="pad note">{r.note}</p>
      <p class="pad note">{bw.caution}</p>
    </Sheet>
  );
}

const lineKey = (x: LegLine): string => `${x.tag} ${x.reading.value_mm}`;

/** What a tool came to, for a note. */
function lines(f: Fit): string[] {
  const r = bw.room;
  return [
    w.verdict[f.verdict],
    ...f.checks.map(
      (c) =>
        `${r.obstacle[c.obstacle] ?? c.obstacle} ${c.gap_mm < 0 ? r.hits(shown(-c.gap_mm, c.U_mm).with_u) : r.gap(shown(c.gap_mm, c.U_mm).with_u, shown(c.need_mm).value)}`,
    ),
  ];
}
