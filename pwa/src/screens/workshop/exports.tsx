// Report and exports: made by the laptop while it is in reach and has all, else on this phone.
import { useEffect, useRef, useState } from "preact/hooks";
import type { Paper } from "../../bridge/types";
import { handOver } from "../../capture/files";
import { isSample } from "../../data/db";
import { makeHere, type MakeAsk } from "../../data/papers";
import { route } from "../../router";
import { Refusal } from "../../sync/api";
import { inReach, makeThere } from "../../sync/exports";
import { hasJoined } from "../../sync/join";
import { unsent } from "../../sync/sync";
import { w } from "../../words";
import { megabytes, useLive } from "../hooks";
import { Choice, Tick, Trouble } from "../kit/bits";
import { Act, Sheet } from "../kit/sheet";
import { currentProject } from "../parts/current";
import { fractions, units } from "../prefs";

const x = w.exports;

interface Ready {
  name: string;
  file: Blob;
  note: string;
}

/** Makes a file, wherever that is best done now. */
async function make(
  ask: MakeAsk,
  o: { signal: AbortSignal; progress: (fraction: number) => void },
): Promise<Ready> {
  const name = `bucktail-${new Date().toLocaleDateString("sv")}-${ask.kind}`;
  const reach = !isSample() && hasJoined() && (await inReach());
  if (reach && unsent.value.entries + unsent.value.photos === 0) {
    try {
      return { name, file: await makeThere(ask, o), note: x.there };
    } catch (e) {
      if (e instanceof Refusal && e.problem.status < 500) throw e;
      o.signal.throwIfAborted(); // else it went out of reach meanwhile
    }
  }
  const m = await makeHere(ask, { ...o, reach });
  return {
    name,
    file: m.file,
    note: m.missing > 0 ? x.hereWithout(m.missing, m.previews) : x.here,
  };
}

export function ExportsScreen() {
  const project = currentProject(useLive("state.projects", {}).value);
  const parts = useLive("state.parts", { id: project?.id ?? "" }).value ?? [];
  const asked = route.value.query.get("part");
  const [all, setAll] = useState(!asked),
    [chosen, setChosen] = useState<string[]>(asked ? [asked] : []),
    [paper, setPaper] = useState<Paper>("a4");
  const [doing, setDoing] = useState<{ what: string; fraction: number }>(),
    [ready, setReady] = useState<Ready>(),
    [e, setE] = useState<unknown>();
  const stop = useRef<AbortController | undefined>(undefined);
  useEffect(() => {
    if (project) setPaper(project.paper);
  }, [project?.id]);
  useEffect(() => () => stop.current?.abort(), []);
  const none = !all && chosen.length === 0;

  const get = async (kind: string, title: string): Promise<void> => {
    const mine = (stop.current = new AbortController());
    const say = (fraction: number): void => setDoing({ what: x.making(title), fraction });
    say(0.02);
    setE(undefined);
    setReady(undefined);
    try {
      const r = await make(
        {
          kind,
          paper,
          units: fractions.value ? "fractions" : units.value,
          ...(all ? project && { project: project.id } : { parts: chosen }),
        },
        { signal: mine.signal, progress: say },
      );
      setReady(r);
      document.querySelector("main")?.scrollTo(0, 0); // where it says what was made
      await handOver(r.name, r.file);
    } catch (err) {
      if (!mine.signal.aborted) setE(err);
    } finally {
      if (stop.current === mine) setDoing(undefined);
    }
  };
  const cancel = (): void => {
    stop.current?.abort();
    setDoing(undefined);
  };
  const tick = (id: string, on: boolean): void =>
    setChosen((c) => (on ? [...c, id] : c.filter((k) => k !== id)));
  return (
    <Sheet
      title={x.title}
      facts={project?.name ?? x.facts}
      back={asked ? `/part/${asked}` : "/parts"}
      as="column"
      doing={doing}
      strip={
        doing ? (
          <Act act={cancel}>{w.cancel}</Act>
        ) : (
          <Act
            go
            why={none ? x.choose : undefined}
            act={() => void get("report.pdf", x.kinds[0]![1])}
          >
            {x.report}
          </Act>
        )
      }
    >
      <Trouble e={e} />
      {ready && (
        <div class="said" role="status">
          <p>
            <b>{x.ready(ready.name, megabytes(ready.file.size))}</b>
          </p>
          <p>{ready.note}</p>
          <p>
            <button type="button" class="btn" onClick={() => void handOver(ready.name, ready.file)}>
              {x.again}
            </button>
          </p>
        </div>
      )}
      <div class="pad stack">
        <Choice
          rows
          label={x.what}
          value={all ? "all" : "some"}
          set={(v) => setAll(v === "all")}
          of={[
            { value: "all", text: x.whole },
            { value: "some", text: x.some },
          ]}
        />
        {!all && (
          <div class="stack" role="group" aria-label={x.some}>
            {parts.map((p) => (
              <Tick checked={chosen.includes(p.part.id)} set={(on) => tick(p.part.id, on)}>
                {p.part.name}
              </Tick>
            ))}
          </div>
        )}
        <Choice<Paper>
          label={x.paper}
          value={paper}
          set={setPaper}
          of={[
            { value: "a4", text: w.cards.a4 },
            { value: "letter", text: w.cards.letter },
          ]}
        />
      </div>
      <div class="head gap">
        <h2>{x.files}</h2>
      </div>
      <ul class="rows">
        {x.kinds.map(([kind, title, note]) => (
          <li key={kind}>
            <button
              type="button"
              class="row"
              aria-disabled={doing || none ? "true" : undefined}
              onClick={() => {
                if (!doing && !none) void get(kind, title);
              }}
            >
              <span class="what">
                <b>{title}</b>
                <small>{note}</small>
              </span>
              <span class="link">{x.get}</span>
            </button>
          </li>
        ))}
      </ul>
      <p class="pad note">{x.note}</p>
    </Sheet>
  );
}
