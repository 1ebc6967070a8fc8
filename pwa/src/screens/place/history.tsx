// A location: its attempts side by side, all that was entered, what can be done now.
import type { LocationView, Rivets } from "../../bridge/types";
import { path } from "../../router";
import { w } from "../../words";
import { nowAt } from "../finding";
import { handbook, shown, useLive, wide } from "../hooks";
import { Empty, sentence, Waiting } from "../kit/bits";
import { Icon, V } from "../kit/shapes";
import { Act, Sheet } from "../kit/sheet";
import { units } from "../prefs";
import { useRole } from "../role";
import { byWhom, Checks } from "../photo/checks";
import { Attempts } from "./attempts";
import { EntryRow } from "./entryrow";
import { Plot } from "./plot";
import { pointsOf } from "./points";
import { wayTo } from "../wayto";

export function LocationScreen({ id }: { id: string }) {
  const live = useLive("state.location", { id });
  const v = live.value;
  const part = useLive("state.concerning", { id: v?.part.id ?? "" }).value,
    came = useLive("state.came", { id: v?.part.id ?? "" }).value;
  const rivet = useLive("state.part", { id: v?.part.id ?? "" }).value?.rivets.find((r) =>
    r.locations.includes(id),
  );
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
  const l = v.location,
    now = nowAt(v);
  const back = path("part", v.part.id);
  const head = v.spec?.kind === "hole" ? "hole" : "head";
  const points = pointsOf(part ?? [], came ?? {}, head);
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
            {v.next.slice(0, 1).map((n) => (
              <Act go icon={n === "photo" ? "snap" : undefined} to={wayTo(v, n)} key={n}>
                {w.history.next[n](l.tag)}
              </Act>
            ))}
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
          <V v={l.whole} n={l.not_read} stage={l.stage} />
          {l.decision && <small>{w.disposition[l.decision]}</small>}
          <span class="rd">
            <small>{w.stage[l.stage]}</small>
          </span>
        </div>
        {now && (
          <Checks
            s={now}
            readings={now.readings}
            by={byWhom(v)}
            notes={now.notes}
            brief
            key={l.last_id}
          />
        )}
        {role === "builder" && <Todo v={v} />}
        {rivet && (
          <ul class="rows">
            <li>
              <RivetRow v={v} r={rivet} />
            </li>
          </ul>
        )}
        {v.spec && <LimitsRow v={v} />}
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

/** What else can be done here now; the usual thing is in the strip. */
function Todo({ v }: { v: LocationView }) {
  return (
    <ul class="rows">
      {v.next.slice(1).map((n) => (
        <li key={n}>
          <a class="row" href={wayTo(v, n)}>
            <span class="what">{w.history.next[n](v.location.tag)}</span>
            <Icon i="next" />
          </a>
        </li>
      ))}
    </ul>
  );
}

/** The rivet that goes here, and the stack that it is for. */
function RivetRow({ v, r }: { v: LocationView; r: Rivets }) {
  return (
    <a class="row" href={path("part", v.part.id, "rivet")}>
      <span class="what">
        {w.history.rivet}: {r.name || w.part.noRivet}, {w.part.grip(shown(r.grip_mm).value)}
        <small>
          {r.own ? w.history.ownStack : w.history.partStack}:{" "}
          {r.layers
            .map((x) => [x.name, shown(x.thickness_mm).value].filter(Boolean).join(" "))
            .join(" + ")}
        </small>
        {r.ask && <small>{sentence(r.ask)}</small>}
      </span>
      <Icon i="next" />
    </a>
  );
}

/** The limits in force, and who chose them. */
function LimitsRow({ v }: { v: LocationView }) {
  const set = handbook()?.sets.find((s) => s.name === v.spec!.limit_set),
    own = v.spec!.own_limits;
  return (
    <a class="row" href={`${path("part", v.part.id, "limits")}?location=${v.location.id}`}>
      <span class="what">
        {w.limitsScreen.title}: {[own?.name, set?.title].filter(Boolean).join(", ")}
        <small>{v.origin && w.origin[v.origin]}</small>
      </span>
      <Icon i="next" />
    </a>
  );
}
