// More about a part: the ways to its other screens.
import type { PartView } from "../../bridge/types";
import { path } from "../../router";
import { w } from "../../words";
import { useLive } from "../hooks";
import { Waiting } from "../kit/bits";
import { Icon } from "../kit/shapes";
import { Act, Sheet } from "../kit/sheet";
import { isBuilders, useRole } from "../role";

export function MoreLinks({ v }: { v: PartView }) {
  const id = v.part.id,
    builder = useRole() !== "inspector";
  const all: [string, string][] = [
    [path("part", id, "history"), w.part.history],
    [path("part", id, "notes"), w.part.notes],
    [path("part", id, "limits"), w.part.limits],
    [path("part", id, "lay"), w.part.lay],
    [path("part", id, "room"), w.part.room],
    [path("part", id, "stages"), w.part.stages],
    [path("part", id, "edges"), w.part.edges],
    [path("part", id, "prep"), w.part.prep],
    [path("part", id, "order"), w.part.order],
    [path("part", id, "like"), w.part.like],
    [path("part", id, "bend"), w.part.bend],
    [path("part", id, "rivet"), w.part.rivetChoice],
    [path("part", id, "shape"), w.part.shape],
    [path("part", id, "layout") + "?picture", w.part.layout],
    [path("part", id, "edit"), w.part.change],
    [path("part", id, "sign"), w.part.signOff],
    [`/exports?part=${id}`, w.part.report],
  ];
  const links = all.filter(([to]) => builder || !isBuilders(to.split("?")[0]!.split("/").slice(1)));
  return (
    <nav aria-label={w.part.more}>
      <div class="head gap">
        <h2>{w.part.more}</h2>
      </div>
      <ul class="rows">
        {links.map(([to, text]) => (
          <li key={to}>
            <a class="row" href={to}>
              <span class="what">{text}</span>
              <Icon i="next" />
            </a>
          </li>
        ))}
      </ul>
    </nav>
  );
}

export function PartMoreScreen({ id }: { id: string }) {
  const v = useLive("state.part", { id }).value;
  return (
    <Sheet
      title={v?.part.name ?? w.part.title}
      facts={w.part.more}
      back={path("part", id)}
      as="column"
      strip={
        <Act go to={path("part", id)}>
          {w.part.title}
        </Act>
      }
    >
      {v ? <MoreLinks v={v} /> : <Waiting />}
    </Sheet>
  );
}
