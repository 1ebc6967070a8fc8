// All that waits, grouped by what is to be done.
import { useEffect, useState } from "preact/hooks";
import type { Check, Entry, WorkItem } from "../../bridge/types";
import { book } from "../../data/book";
import { changed } from "../../data/changes";
import { path } from "../../router";
import { w } from "../../words";
import { deciding, findings, isDiameter, standing } from "../finding";
import { shown, useLive } from "../hooks";
import { Empty, Num, Trouble, upper, Waiting } from "../kit/bits";
import { Icon, Shape, verdictShape } from "../kit/shapes";
import { Sheet } from "../kit/sheet";
import { MainStrip } from "../mainstrip";
import { useRole } from "../role";

const shapeFor: Record<WorkItem["kind"], string> = {
  "drill out": "out",
  "measure by hand": "close",
  "set a new rivet": "drilled",
  decide: "out",
  refer: "close",
  "inspector asks": "",
};
const target = (x: WorkItem, builder: boolean): string =>
  path(
    "location",
    x.location,
    ...(!builder
      ? []
      : x.kind === "drill out"
        ? ["rework"]
        : x.kind === "measure by hand"
          ? ["gauge"]
          : x.kind === "set a new rivet"
            ? ["attempt"]
            : x.kind === "decide" || x.kind === "refer"
              ? ["decide"]
              : []),
  );

export function WorkScreen() {
  const live = useLive("state.work", {});
  const now = useStanding([...new Set((live.value ?? []).map((x) => x.part))]);
  const list = live.value;
  const kinds = [...new Set((list ?? []).map((x) => x.kind))];
  return (
    <Sheet
      title={w.workScreen.title}
      facts={list?.length ? w.workScreen.count(list.length) : w.workScreen.none}
      as="column"
      strip={<MainStrip here="work" />}
    >
      {!list && (live.error ? <Trouble e={live.error} /> : <Waiting />)}
      {list?.length === 0 && (
        <Empty title={w.workScreen.none}>
          <p>{w.workScreen.noneNote}</p>
        </Empty>
      )}
      {kinds.map((k) => (
        <section key={k}>
          <div class="head">
            <h2>{w.workScreen.groups[k]}</h2>
            <small>{list!.filter((x) => x.kind === k).length}</small>
          </div>
          <ul class="rows">
            {list!
              .filter((x) => x.kind === k)
              .map((x) => (
                <li key={x.entry + x.location}>
                  <WorkRow x={x} now={now.get(x.location)} />
                </li>
              ))}
          </ul>
        </section>
      ))}
    </Sheet>
  );
}

function WorkRow({ x, now }: { x: WorkItem; now: Standing | undefined }) {
  const c = now?.entries.has(x.entry) ? deciding(now.checks) : undefined; // else the item is not from a measurement
  const s = c && c.verdict !== "within" ? verdictShape[c.verdict] : shapeFor[x.kind];
  return (
    <a class="row" href={target(x, useRole() !== "inspector")}>
      {s ? (
        <span class={s === "drilled" ? "stage" : s}>
          <Shape s={s} />
        </span>
      ) : (
        <Icon i="sign" />
      )}
      <span class="what">
        <b>{x.tag}</b> <span class="note">{x.part_name}</span>
        <br />
        {c ? (
          <span class="note">
            {w.quantityShort[c.reading.quantity]}{" "}
            <Num mm={c.reading.value_mm} u={c.U_mm} d={isDiameter(c.reading.quantity)} />,{" "}
            {c.limit.min_mm ? w.min : w.max} {shown(c.limit.min_mm || c.limit.max_mm || 0).number}
          </span>
        ) : (
          <span class="note">{x.text ? upper(x.text) : w.workScreen.one[x.kind]}</span>
        )}
      </span>
      <Icon i="next" />
    </a>
  );
}

interface Standing {
  entries: Map<string, Entry>;
  checks: Check[];
}

/** How each location of these parts stands: what a hand gauge settled is not what waits. */
function useStanding(parts: string[]): Map<string, Standing> {
  const [map, set] = useState(new Map<string, Standing>());
  const key = parts.join() + changed.value;
  useEffect(() => {
    let gone = false;
    void Promise.all(
      parts.map(async (id) => {
        const [all, v] = await Promise.all([
            book.call("state.concerning", { id }),
            book.call("state.part", { id }),
          ]),
          entries = findings(all);
        return v.places.map(({ location: l }): [string, Standing] => [
          l.id,
          { entries, checks: standing(l, entries)?.checks ?? [] },
        ]);
      }),
    ).then(
      (all) => {
        if (!gone) set(new Map(all.flat()));
      },
      () => undefined,
    );
    return () => {
      gone = true;
    };
  }, [key]);
  return map;
}
