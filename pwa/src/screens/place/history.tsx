// A location: its attempts side by side, all that was entered, what can be done now.
import type { LocationView } from "../../bridge/types";
import { path } from "../../router";
import { w } from "../../words";
import { useLive, wide } from "../hooks";
import { Empty, sentence, Waiting } from "../kit/bits";
import { Icon, V } from "../kit/shapes";
import { Act, Sheet } from "../kit/sheet";
import { units } from "../prefs";
import { useRole } from "../role";
import { Attempts } from "./attempts";
import { EntryRow } from "./entryrow";
import { Plot } from "./plot";
import { pointsOf } from "./points";

export function LocationScreen({ id }: { id: string }) {
  const live = useLive("state.location", { id });
  const v = live.value;
  const part = useLive("state.concerning", { id: v?.part.id ?? "" }).value;
  const role = useRole();
  if (!v)
    return (
      <Sheet
        title={w.history.title}
        back="/parts"
        strip={
          <Act go to="/parts">
            {w.toParts}
          </Act>
        }
      >
        {live.error ? (
          <div class="pad stack">
            <h2 class="message">{w.nothingHere}</h2>
            <p>{w.nothingHereDo}</p>
          </div>
        ) : (
          <Waiting />
        )}
      </Sheet>
    );
  const l = v.location;
  const back = path("part", v.part.id);
  const head = v.spec?.kind === "hole" ? "hole" : "head";
  const points = pointsOf(part ?? [], head);
  return (
    <Sheet
      title={l.tag}
      facts={[v.part.name, v.part.drawing].filter(Boolean).join(" · ")}
      back={back}
      as={wide.value ? "split" : ""}
      cell={{ label: w.history.attempt, value: w.history.of(l.attempt, l.attempts.length || 1) }}
      strip={
        role === "inspector" ? (
          <>
            <Act to={path("location", id, "note")}>{w.history.addNote}</Act>
            <Act go icon="sign" to={`/inspect?at=${id}`}>
              {w.inspectorTab}
            </Act>
          </>
        ) : (
          <>
            <Act to={path("location", id, "note")}>{w.history.addNote}</Act>
            <Act go icon="snap" to={`${path("part", v.part.id, "snap")}?at=${id}`}>
              {w.history.snap(l.tag)}
            </Act>
          </>
        )
      }
    >
      <section class="left">
        {l.work?.map((x) => (
          <div class="said" key={x.entry + x.kind}>
            <p>
              <b>{w.workScreen.groups[x.kind]}</b>
              {x.text && <> · {sentence(x.text)}</>}
            </p>
            {x.kind === "inspector asks" && role === "builder" && (
              <p class="note">{w.history.askedDo}</p>
            )}
          </div>
        ))}
        <Attempts v={v} />
        {points.length > 1 && (
          <>
            <div class="head">
              <h2>
                {w.history.plotFor(
                  head === "hole" ? w.history.holeD : w.history.headD,
                  units.value,
                )}
              </h2>
              <small>{w.history.order}</small>
            </div>
            <div class="pad">
              <Plot
                points={points}
                mark={l.tag}
                by="order"
                name={head === "hole" ? w.history.holeD : w.history.headD}
              />
            </div>
          </>
        )}
      </section>
      <section class="right">
        <div class="row">
          <V v={l.verdict} stage={l.stage} />
          {l.decision && <small>{w.disposition[l.decision]}</small>}
          <span class="rd">
            <small>{w.stage[l.stage]}</small>
          </span>
        </div>
        {role === "builder" && <Todo v={v} />}
        <div class="head">
          <h2>{w.history.entries}</h2>
        </div>
        {v.entries.length <= 1 && (
          <Empty title={w.history.none}>
            <p>{w.history.noneDo}</p>
          </Empty>
        )}
        <ol class="rows">
          {[...v.entries].reverse().map((e) => (
            <li key={e.id}>
              <EntryRow e={e} v={v} />
            </li>
          ))}
        </ol>
      </section>
    </Sheet>
  );
}

/** What can be done here now; each also waits on the work list. */
function Todo({ v }: { v: LocationView }) {
  const l = v.location,
    to = (x: string): string => path("location", l.id, x);
  const links: [string, string][] = [
    ...(l.stage === "set rivet"
      ? [[to("rework"), w.history.drilledAction] as [string, string]]
      : [[to("attempt"), w.history.setRivet] as [string, string]]),
    ...(l.finding
      ? [
          [to("gauge"), w.history.gauge] as [string, string],
          [to("decide"), w.history.decide] as [string, string],
        ]
      : [[to("gauge"), w.history.gauge] as [string, string]]),
    [to("edit"), w.history.editLoc],
  ];
  return (
    <ul class="rows">
      {links.map(([h, t]) => (
        <li key={h}>
          <a class="row" href={h}>
            <span class="what">{t}</span>
            <Icon i="next" />
          </a>
        </li>
      ))}
    </ul>
  );
}
