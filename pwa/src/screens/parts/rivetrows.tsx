// Which rivet goes where: a row for each that the stacks of a part's locations want.
import type { Rivets } from "../../bridge/types";
import { path } from "../../router";
import { w } from "../../words";
import { shown } from "../hooks";
import { sentence } from "../kit/bits";
import { Icon } from "../kit/shapes";

/** More tags than these are counted, not listed. */
const MOST = 8;

export function RivetRows({ part, of }: { part: string; of: Rivets[] }) {
  if (of.length === 0) return null;
  return (
    <>
      <div class="head gap">
        <h2>{w.part.rivets}</h2>
      </div>
      <ul class="rows">
        {of.map((r) => (
          <li key={r.locations[0]}>
            <a class="row" href={path("part", part, "rivet")}>
              <span class="what">
                <b>{r.name || w.part.noRivet}</b> {w.part.grip(shown(r.grip_mm).value)}
                <small>
                  {r.tags.length > MOST ? w.part.count(r.tags.length) : r.tags.join(", ")}
                </small>
                {r.ask && <small>{sentence(r.ask)}</small>}
              </span>
              <Icon i="next" />
            </a>
          </li>
        ))}
      </ul>
    </>
  );
}
