// Which rivet a stack takes, with its drill, hole, head, edge and pitch on one card.
import { useState } from "preact/hooks";
import type { RivetInput } from "../../bridge/types";
import { save } from "../../data/entries";
import { path } from "../../router";
import { w } from "../../words";
import { bw } from "../../words/bench";
import { shown, useLive } from "../hooks";
import { Field, Select, sentence, Tick, Trouble } from "../kit/bits";
import { say } from "../kit/say";
import { Act, Sheet } from "../kit/sheet";
import { units } from "../prefs";
import { Said } from "./bounds";
import { typed, useAsk, useKept, useLengths } from "./form";
import { Opening } from "../kit/opening";

interface Typed {
  layers: { name: string; mm: string }[];
  u: string;
  tube: string;
  closed: boolean;
  instead: boolean;
  mixed: boolean;
  /** Location that the stack is of; "" the whole part. */
  at?: string;
}

export function RivetScreen({ id }: { id: string }) {
  const view = useLive("state.part", { id });
  const v = view.value;
  const [d, set] = useKept<Typed | undefined>(`rivet ${id}`, undefined);
  const [e, setE] = useState<unknown>();
  const l = bw.rivet;
  const now: Typed = d ?? {
    layers: v?.part.layers?.map((x) => ({
      name: x.name ?? x.material,
      mm: typed(x.thickness_mm),
    })) ?? [
      { name: "", mm: "" },
      { name: "", mm: "" },
    ],
    u: "",
    tube: "",
    closed: false,
    instead: false,
    mixed: false,
  };
  const texts: Record<string, string> = { u: now.u, tube: now.tube };
  now.layers.forEach((x, i) => (texts[`l${i}`] = x.mm));
  const mm = useLengths(texts);
  const layers = now.layers.flatMap((x, i) => {
    const t = mm?.[`l${i}`]?.mm;
    return t === undefined ? [] : [{ name: x.name, thickness_mm: t }];
  });
  const wrong = mm && Object.values(mm).some((x) => x.wrong);
  const at = v?.places.find((x) => x.location.id === now.at);
  const spec = at?.spec ?? v?.spec;
  const input: RivetInput | undefined =
    spec && layers.length > 0 && !wrong
      ? {
          spec,
          layers,
          closed: now.closed,
          instead: now.instead,
          mixed: now.mixed,
          ...(mm?.["u"]?.mm && { U_mm: mm["u"].mm }),
          ...(now.closed && mm?.["tube"]?.mm && { tube_mm: mm["tube"].mm }),
        }
      : undefined;
  const told = useAsk("rivet", input);
  const c = input ? told.value : undefined;
  if (!v) return <Opening title={l.title} back={path("part", id)} error={view.error} />;
  const put = (i: number, x: Partial<Typed["layers"][number]>): void =>
    set({ ...now, layers: now.layers.map((o, j) => (j === i ? { ...o, ...x } : o)) });
  const keep = async (): Promise<void> => {
    if (!c) return;
    const text = [
      `${l.keepTitle} ${l.grip(shown(c.grip_mm).value)}`,
      ...(c.candidates ?? []).map((x) => `${x.name}: ${x.text} (${x.source})`),
      c.ask,
      c.drill && `${l.drill}: ${l.drills(c.pilot ?? "", c.drill)}`,
      ...(c.inside ?? []),
      ...(c.warnings ?? []),
    ];
    try {
      await save([
        {
          kind: "note",
          project: v.project.id,
          part: id,
          ...(now.at && { location: now.at }),
          data: { text: text.filter(Boolean).join("\n") },
        },
      ]);
      say(l.kept);
    } catch (x) {
      setE(x);
    }
  };
  return (
    <Sheet
      title={l.title}
      facts={v.part.name}
      back={path("part", id)}
      as="column"
      cell={{ label: w.settings.units.toLowerCase(), value: units.value }}
      strip={
        <>
          <Act to={path("part", id)}>{w.back}</Act>
          <Act
            go
            icon="save"
            why={!v.spec ? bw.needRivet : c ? undefined : bw.typeFirst}
            act={() => void keep()}
          >
            {l.keep}
          </Act>
        </>
      }
    >
      <div role="status">
        {c && (
          <div class="answer">
            <b>{c.candidates?.find((x) => x.first)?.name ?? l.none}</b>
            <span class="label">{l.grip(shown(c.grip_mm).value)}</span>
            {c.ask && <p>{sentence(c.ask)}</p>}
          </div>
        )}
        {!c && !told.error && <p class="pad note">{v.spec ? bw.typeFirst : bw.needRivet}</p>}
      </div>
      <div class="head">
        <h2>{l.stack}</h2>
        <button
          class="link"
          type="button"
          onClick={() => set({ ...now, layers: [...now.layers, { name: "", mm: "" }] })}
        >
          {l.add}
        </button>
      </div>
      <div class="pad stack">
        {v.places.length > 0 && (
          <Select
            label={l.at}
            value={now.at ?? ""}
            set={(x) => set({ ...now, at: x })}
            of={[
              { value: "", text: l.whole },
              ...v.places
                .filter((x) => !x.location.out && !x.location.stray)
                .map((x) => ({ value: x.location.id, text: x.location.tag })),
            ]}
          />
        )}
        <Trouble e={e ?? (input ? told.error : undefined)} />
        {now.layers.map((x, i) => (
          <div class="two" key={i}>
            <Field label={l.name} value={x.name} set={(name) => put(i, { name })} />
            <Field
              label={`${l.thickness} ${i + 1}`}
              unit={units.value}
              value={x.mm}
              set={(t) => put(i, { mm: t })}
              wrong={mm?.[`l${i}`]?.wrong}
            />
          </div>
        ))}
        <div class="two">
          <Field
            label={l.u}
            unit={units.value}
            value={now.u}
            set={(u) => set({ ...now, u })}
            hint={l.uHint}
            wrong={mm?.["u"]?.wrong}
          />
          {now.closed && (
            <Field
              label={l.tube}
              unit={units.value}
              value={now.tube}
              set={(tube) => set({ ...now, tube })}
              wrong={mm?.["tube"]?.wrong}
            />
          )}
        </div>
        <Tick checked={now.closed} set={(closed) => set({ ...now, closed })}>
          {l.closed}
        </Tick>
        <Tick checked={now.instead} set={(instead) => set({ ...now, instead })}>
          {l.instead}
        </Tick>
        <Tick checked={now.mixed} set={(mixed) => set({ ...now, mixed })}>
          {l.mixed}
        </Tick>
      </div>
      {c && (
        <>
          <ul class="bounds">
            {(c.candidates ?? []).map((x) => (
              <li>
                <span class={x.first ? "at binds" : "at"}>
                  <span>{x.name}</span>
                  {x.first && <span>{l.takeOne}</span>}
                </span>
                {sentence(x.text)}{" "}
                <small>
                  {x.source}; {x.from}
                </small>
              </li>
            ))}
            <li>
              <span class="at">
                <b>{l.drill}</b>
                <span>{c.drill ? l.drills(c.pilot ?? "", c.drill) : l.noDrill}</span>
              </span>
            </li>
          </ul>
          <Said title={l.inside} of={(c.inside ?? []).map(sentence)} />
          <Said title={l.warnings} of={(c.warnings ?? []).map(sentence)} />
          <div class="head">
            <h2>{l.limits}</h2>
          </div>
          <ul class="bounds">
            {(c.limits ?? []).map((x) => (
              <li>
                <span class="at">
                  <span>{x.name}</span>
                  <span class="nowrap">{shown(x.min_mm || x.max_mm || 0).value}</span>
                </span>
                <small>
                  {x.source}; {x.from}
                </small>
              </li>
            ))}
          </ul>
          <p class="pad note">{l.caution}</p>
        </>
      )}
    </Sheet>
  );
}
