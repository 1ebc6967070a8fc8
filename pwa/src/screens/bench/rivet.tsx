// Which rivet a stack takes, with its drill, hole, head, edge and pitch on one card, for each location.
import { useState } from "preact/hooks";
import type { RivetInput, Stack } from "../../bridge/types";
import { save } from "../../data/entries";
import { path } from "../../router";
import { w } from "../../words";
import { bw } from "../../words/bench";
import { shown, useLive } from "../hooks";
import { Field, sentence, Tick, Trouble } from "../kit/bits";
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
  /** Locations that the stack is of. */
  at: string[];
  /** The candidate that the builder takes. */
  take: string;
}

const fieldsOf = (s: Stack): Omit<Typed, "instead" | "mixed" | "at"> => ({
  layers: s.layers.map((x) => ({ name: x.name ?? "", mm: typed(x.thickness_mm) })),
  u: typed(s.U_mm),
  tube: typed(s.tube_mm),
  closed: s.closed ?? false,
  take: s.rivet ?? "",
});

export function RivetScreen({ id }: { id: string }) {
  const view = useLive("state.part", { id });
  const v = view.value;
  const [d, set] = useKept<Typed | undefined>(`rivet ${units.value} ${id}`, undefined);
  const [e, setE] = useState<unknown>();
  const l = bw.rivet;
  const now: Typed = d ?? {
    ...fieldsOf({
      layers: v?.part.layers?.map((x) => ({
        name: x.name ?? x.material,
        thickness_mm: x.thickness_mm,
      })) ?? [{ thickness_mm: 0 }, { thickness_mm: 0 }],
    }),
    instead: false,
    mixed: false,
    at: [],
  };
  const texts: Record<string, string> = { u: now.u, tube: now.tube };
  now.layers.forEach((x, i) => (texts[`l${i}`] = x.mm));
  const mm = useLengths(texts);
  const layers = now.layers.flatMap((x, i) => {
    const t = mm?.[`l${i}`]?.mm;
    return t === undefined ? [] : [{ name: x.name, thickness_mm: t }];
  });
  const bare = (x: Typed["layers"][number]): boolean => !!x.name.trim() && !x.mm.trim();
  const wrong = mm && (Object.values(mm).some((x) => x.wrong) || now.layers.some(bare));
  const places = (v?.places ?? []).filter((x) => !x.location.out && !x.location.stray);
  const at = places.filter((x) => now.at.includes(x.location.id));
  const spec = at[0]?.spec ?? v?.spec;
  const stack: Stack = {
    layers,
    ...(now.closed && { closed: true }),
    ...(mm?.["u"]?.mm && { U_mm: mm["u"].mm }),
    ...(now.closed && mm?.["tube"]?.mm && { tube_mm: mm["tube"].mm }),
  };
  const input: RivetInput | undefined =
    spec && layers.length > 0 && !wrong
      ? { spec, ...stack, instead: now.instead, mixed: now.mixed }
      : undefined;
  const told = useAsk("rivet", input);
  const c = input ? told.value : undefined;
  if (!v) return <Opening title={l.title} back={path("part", id)} error={view.error} />;
  const change = (x: Partial<Typed>): void => set({ ...now, take: "", ...x });
  const put = (i: number, x: Partial<Typed["layers"][number]>): void =>
    change({ layers: now.layers.map((o, j) => (j === i ? { ...o, ...x } : o)) });
  const candidates = c?.candidates ?? [];
  const taken =
    candidates.find((x) => x.name === now.take)?.name ?? candidates.find((x) => x.first)?.name;
  // The first location that is ticked brings its own stack with it.
  const choose = (id: string, on: boolean): void => {
    const own = places.find((x) => x.location.id === id)?.location.stack;
    set({
      ...now,
      ...(on && now.at.length === 0 && own && fieldsOf(own)),
      at: on ? [...now.at, id] : now.at.filter((x) => x !== id),
    });
  };
  const keep = async (): Promise<void> => {
    try {
      await save(
        at.map((x) => ({
          kind: "location" as const,
          project: v.project.id,
          part: id,
          location: x.location.id,
          data: { stack: { ...stack, ...(taken && { rivet: taken }) } },
        })),
      );
      say(l.kept(at.map((x) => x.location.tag).join(", ")));
      set({ ...now, at: [] });
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
            why={!v.spec ? bw.needRivet : !c ? bw.typeFirst : at.length ? undefined : l.tick}
            act={() => void keep()}
          >
            {l.keep(at.length)}
          </Act>
        </>
      }
    >
      <div role="status">
        {c && (
          <div class="answer">
            <b>{taken ?? l.none}</b>
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
          onClick={() => change({ layers: [...now.layers, { name: "", mm: "" }] })}
        >
          {l.add}
        </button>
      </div>
      <div class="pad stack">
        <Trouble e={e ?? (input ? told.error : undefined)} />
        {now.layers.map((x, i) => (
          <div class="two" key={i}>
            <Field label={l.name} value={x.name} set={(name) => put(i, { name })} />
            <Field
              label={`${l.thickness} ${i + 1}`}
              unit={units.value}
              value={x.mm}
              set={(t) => put(i, { mm: t })}
              wrong={mm?.[`l${i}`]?.wrong ?? (bare(x) ? l.bare : undefined)}
            />
          </div>
        ))}
        <div class="two">
          <Field
            label={l.u}
            unit={units.value}
            value={now.u}
            set={(u) => change({ u })}
            hint={l.uHint}
            wrong={mm?.["u"]?.wrong}
          />
          {now.closed && (
            <Field
              label={l.tube}
              unit={units.value}
              value={now.tube}
              set={(tube) => change({ tube })}
              wrong={mm?.["tube"]?.wrong}
            />
          )}
        </div>
        <Tick checked={now.closed} set={(closed) => change({ closed })}>
          {l.closed}
        </Tick>
        <Tick checked={now.instead} set={(instead) => change({ instead })}>
          {l.instead}
        </Tick>
        <Tick checked={now.mixed} set={(mixed) => change({ mixed })}>
          {l.mixed}
        </Tick>
      </div>
      {places.length > 0 && (
        <div class="pad" role="group" aria-label={l.at}>
          <div class="head">
            <h2>{l.at}</h2>
            <button
              class="link"
              type="button"
              onClick={() => set({ ...now, at: places.map((x) => x.location.id) })}
            >
              {l.all}
            </button>
          </div>
          {places.map(({ location: x }) => (
            <Tick key={x.id} checked={now.at.includes(x.id)} set={(on) => choose(x.id, on)}>
              {x.tag}{" "}
              {x.stack && (
                <small>
                  {l.has(
                    shown(x.stack.layers.reduce((a, y) => a + y.thickness_mm, 0)).value,
                    x.stack.rivet,
                  )}
                </small>
              )}
            </Tick>
          ))}
        </div>
      )}
      {c && (
        <>
          <ul class="bounds">
            {candidates.map((x) => (
              <li>
                <span class={x.name === taken ? "at binds" : "at"}>
                  <span>{x.name}</span>
                  {x.name === taken ? (
                    <span>{now.take ? l.taken : l.takeOne}</span>
                  ) : (
                    <button
                      class="link"
                      type="button"
                      onClick={() => set({ ...now, take: x.name })}
                    >
                      {l.take(x.name)}
                    </button>
                  )}
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
          <div class="pad">
            <a class="link" href={`/exports?part=${id}`}>
              {l.print}
            </a>
          </div>
        </>
      )}
    </Sheet>
  );
}
