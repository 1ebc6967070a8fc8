// A part's history and its plots.
import { useState } from "preact/hooks";
import type { Plot as PlotKind } from "../../bridge/types";
import { path } from "../../router";
import { w } from "../../words";
import { time } from "../dates";
import { useLive, wide } from "../hooks";
import { Choice, Waiting } from "../kit/bits";
import { Act, Sheet } from "../kit/sheet";
import { entryLine } from "./entryline";
import { Plot } from "./plot";
import { pointsOf } from "./points";

export function PartHistory({ id }: { id: string }) {
  const v = useLive("state.part", { id }).value,
    came = useLive("state.came", { id }).value,
    entries = useLive("state.concerning", { id }).value;
  const [of, setOf] = useState<PlotKind>("head"),
    [by, setBy] = useState<"time" | "place">("place"),
    [most, setMost] = useState(60);
  if (!v || !entries || !came)
    return (
      <Sheet title={w.history.partTitle} back={path("part", id)}>
        <Waiting />
      </Sheet>
    );
  const tags = new Map(v.places.map((p) => [p.location.id, p.location.tag]));
  const points = pointsOf(entries, came, of, tags);
  const names: Record<PlotKind, string> = {
    head: w.history.headD,
    hole: w.history.holeD,
    edge: w.history.edge,
  };
  const list = [...entries].reverse();
  return (
    <Sheet
      title={w.history.partTitle}
      facts={v.part.name}
      back={path("part", id)}
      as={wide.value ? "split" : ""}
      strip={
        <>
          <Act to={path("part", id, "notes")}>{w.part.notes}</Act>
          <Act go to={`/exports?part=${id}`}>
            {w.part.report}
          </Act>
        </>
      }
    >
      <section class="left">
        <div class="pad stack">
          <Choice<PlotKind>
            label={w.limitsScreen.quantity}
            hide
            value={of}
            set={setOf}
            of={(["head", "hole", "edge"] as const).map((x) => ({ value: x, text: names[x] }))}
          />
          <Choice<"time" | "place">
            label={w.history.byPlace}
            hide
            value={by}
            set={setBy}
            of={[
              { value: "place", text: w.history.byPlace },
              { value: "time", text: w.history.byTime },
            ]}
          />
          <Plot points={points} by={by} name={names[of]} />
        </div>
      </section>
      <section class="right">
        <div class="head">
          <h2>{w.history.entries}</h2>
          <small>{entries.length}</small>
        </div>
        <ol class="rows">
          {list.slice(0, most).map((e) => {
            const x = entryLine(e, came[e.id]),
              tag = e.location ? tags.get(e.location) : undefined;
            const inner = (
              <>
                <span class="tag">{tag ?? ""}</span>
                <span class="what">
                  {x.text}
                  <small>
                    {time(e.at)} · {e.by}
                  </small>
                </span>
              </>
            );
            return (
              <li key={e.id}>
                {e.location ? (
                  <a class="row" href={path("location", e.location)}>
                    {inner}
                  </a>
                ) : (
                  <div class="row">{inner}</div>
                )}
              </li>
            );
          })}
        </ol>
        {list.length > most && (
          <div class="pad">
            <button type="button" class="btn wide" onClick={() => setMost(most + 200)}>
              {w.history.more}
            </button>
          </div>
        )}
      </section>
    </Sheet>
  );
}
