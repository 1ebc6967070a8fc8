// All that waits, grouped by what is to be done.
import type { WorkItem } from "../../bridge/types";
import { path } from "../../router";
import { w } from "../../words";
import { isDiameter } from "../finding";
import { shown, useLive } from "../hooks";
import { Empty, Num, Trouble, upper, Waiting } from "../kit/bits";
import { ShapeRow } from "../kit/shaperow";
import { Icon, Shape, verdictShape } from "../kit/shapes";
import { Sheet } from "../kit/sheet";
import { Unsaved } from "../kit/unsaved";
import { MainStrip } from "../mainstrip";
import { useRole } from "../role";

const shapeFor: Record<WorkItem["kind"], string> = {
  "drill out": "out",
  "measure by hand": "close",
  "set a new rivet": "drilled",
  decide: "out",
  refer: "close",
  "inspectors disagree": "out",
  "inspector asks": "",
};
const target = (x: WorkItem, builder: boolean): string =>
  builder && x.kind === "set a new rivet" && x.next === "photo"
    ? `${path("part", x.part, "snap")}?at=${x.location}`
    : path(
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
  const list = live.value;
  const shapes = useLive("state.shapes", {}).value ?? [];
  const kinds = [...new Set((list ?? []).map((x) => x.kind))];
  return (
    <Sheet
      title={w.workScreen.title}
      facts={
        list && list.length + shapes.length > 0
          ? w.workScreen.count(list.length + shapes.length)
          : w.workScreen.none
      }
      as="column"
      strip={<MainStrip here="work" />}
    >
      <Unsaved />
      {!list && (live.error ? <Trouble e={live.error} /> : <Waiting />)}
      {list?.length === 0 && shapes.length === 0 && (
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
                  <WorkRow x={x} />
                </li>
              ))}
          </ul>
        </section>
      ))}
      {shapes.length > 0 && (
        <section>
          <div class="head">
            <h2>{w.workScreen.shapes}</h2>
            <small>{shapes.length}</small>
          </div>
          <ul class="rows">
            {shapes.map((s) => (
              <li key={s.entry}>
                <ShapeRow s={s} to={path("part", s.part, "shape")} name={s.part_name} />
              </li>
            ))}
          </ul>
        </section>
      )}
    </Sheet>
  );
}

function WorkRow({ x }: { x: WorkItem }) {
  const c = x.check;
  const s = c && c.verdict !== "within" ? verdictShape[c.verdict] : shapeFor[x.kind];
  return (
    <a class="row" href={target(x, useRole() !== "inspector")}>
      {s ? (
        <span class={s === "drilled" ? "stage" : s}>
          <Shape s={s} />
          <span class="unseen">
            {c && c.verdict !== "within" ? w.verdict[c.verdict] : w.workScreen.one[x.kind]}
          </span>
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
          <span class="note">
            {x.text
              ? upper(x.text)
              : x.kind === "set a new rivet" && x.next === "photo"
                ? w.workScreen.holeFirst
                : w.workScreen.one[x.kind]}
          </span>
        )}
        {x.whole === "unread" && <small>{w.headline(x.whole, x.not_read ?? 0)}</small>}
      </span>
      <Icon i="next" />
    </a>
  );
}
