// Drilling up: which drills, what calipers must read, and the stage of a whole row said at once.
import { useState } from "preact/hooks";
import type { Draft, Prep, Stage } from "../../bridge/types";
import { save } from "../../data/entries";
import { path } from "../../router";
import { w } from "../../words";
import { bw } from "../../words/bench";
import { ow } from "../../words/order";
import { shown, useLive } from "../hooks";
import { Select, sentence, Tick, Trouble, upper } from "../kit/bits";
import { say } from "../kit/say";
import { V } from "../kit/shapes";
import { Act, Sheet } from "../kit/sheet";
import { Said } from "./bounds";
import { useAsk } from "./form";
import { Opening } from "../kit/opening";

const preps = Object.keys(w.prep) as Prep[];
const isPrep = (x: Stage | Prep): x is Prep => x in w.prep;

export function StagesScreen({ id }: { id: string }) {
  const view = useLive("state.part", { id });
  const v = view.value;
  const next = useLive("drillup.next", { id }).value;
  const row = v?.places
    .map((p) => p.location)
    .filter((x) => !x.out && !x.stray)
    .map((x) => x.tag);
  const drilling = useAsk("drillup", v?.spec && row ? { ...v.spec, row } : undefined);
  const [to, setTo] = useState<Stage | Prep>("pilot hole");
  const [unreached, setUnreached] = useState(false);
  const [chosen, setChosen] = useState<Set<string>>(new Set());
  const [e, setE] = useState<unknown>();
  const l = ow.stages;
  if (!v || !next) return <Opening title={l.title} back={path("part", id)} error={view.error} />;
  const all = v.places.map((p) => p.location).filter((x) => !x.out);
  const step = isPrep(to) ? to : undefined;
  const able = (step ? next.preps[step] : next.stages[to as Stage]) ?? [];
  const may = all.filter((x) => able.includes(x.id));
  const word = step ? w.prep[step] : w.stage[to as Stage];
  const picked = may.filter((x) => chosen.has(x.id));
  const keep = async (): Promise<void> => {
    try {
      await save(
        picked.map((x): Draft => {
          const about = { project: v.project.id, part: id, location: x.id };
          if (to === "set rivet") return { kind: "attempt", ...about, data: {} };
          return {
            kind: "stage",
            ...about,
            data: step
              ? {
                  stage: x.stage,
                  step,
                  ...((x.unreached || (step === "deburred" && unreached)) && { unreached: true }),
                }
              : { stage: to as Stage },
          };
        }),
      );
      const n = picked.length;
      say(to === "set rivet" ? l.set(n) : step ? l.saved2(n, word) : l.saved(n, word));
      setChosen(new Set());
    } catch (x) {
      setE(x);
    }
  };
  const d = v.spec ? drilling.value : undefined;
  return (
    <Sheet
      title={l.title}
      facts={v.part.name}
      back={path("part", id)}
      as="column"
      strip={
        <>
          <Act
            act={() => setChosen(new Set(may.map((x) => x.id)))}
            why={may.length ? undefined : l.noneMay}
          >
            {l.all}
          </Act>
          <Act
            go
            icon="save"
            why={picked.length ? undefined : l.noneChosen}
            act={() => void keep()}
          >
            {l.save(picked.length, word)}
          </Act>
        </>
      }
    >
      <div class="head">
        <h2>{l.drills}</h2>
      </div>
      {!v.spec && <p class="pad note">{bw.needRivet}</p>}
      <div class="pad">
        <Trouble e={e ?? (v.spec ? drilling.error : undefined)} />
      </div>
      {d && (
        <ul class="bounds">
          {d.steps.map((s) => (
            <li>
              <span class="at">
                <b>{l.to(w.stage[s.stage], s.drill)}</b>
                <span class="nowrap">{shown(s.drill_mm).value}</span>
              </span>
              {sentence(l.hole(shown(s.min_mm).number, shown(s.max_mm).value))}{" "}
              {sentence(l.rim(shown(s.rim_mm).value))}{" "}
              <small>
                {s.source}; {s.from}
              </small>
            </li>
          ))}
          {d.clean_mm && <li>{l.clean(shown(d.clean_mm).value)}</li>}
          <li>
            {l.edge(shown(d.edge_mm).value)} <small>{d.edge_from}</small>
          </li>
        </ul>
      )}
      <div class="head">
        <h2>{l.sweep}</h2>
      </div>
      <div class="pad stack">
        <Select<Stage | Prep>
          label={l.what}
          value={to}
          set={(x) => {
            setTo(x);
            setChosen(new Set());
          }}
          of={[
            ...(["pilot hole", "final hole"] as const).map((s) => ({ value: s, text: w.stage[s] })),
            ...preps.map((s) => ({ value: s, text: w.prep[s] })),
            { value: "set rivet" as const, text: w.stage["set rivet"] },
          ]}
        />
        {step === "deburred" && (
          <Tick checked={unreached} set={setUnreached}>
            {l.unreached}
          </Tick>
        )}
        {may.length === 0 && <p class="note">{all.length ? l.noneMay : w.part.none}</p>}
        {may.map((x) => (
          <Tick
            key={x.id}
            checked={chosen.has(x.id)}
            set={(on) => {
              const n = new Set(chosen);
              if (on) n.add(x.id);
              else n.delete(x.id);
              setChosen(n);
            }}
          >
            {x.tag} <V v="" stage={x.stage} /> {x.step && <small>{w.prep[x.step]}</small>}
          </Tick>
        ))}
        <p class="note">{l.measure}</p>
      </div>
      {d?.clamps && (
        <Said
          title={l.clamps}
          of={d.clamps.map(
            (c) =>
              `${upper(w.stage[c.stage])}: ${l.clamp(c.tags.length, [c.drill, shown(c.hole_mm).value].filter(Boolean).join(", "), c.tags.join(", "))}`,
          )}
        />
      )}
      {d && <Said title={bw.notes} of={[d.temporary && sentence(d.temporary), ...d.notes]} />}
      <p class="pad note">{bw.caution}</p>
    </Sheet>
  );
}
