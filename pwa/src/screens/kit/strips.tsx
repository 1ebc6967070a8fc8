// A location strip: one cell, one location, in the order of the tags, so that the eye sees where it is bad.
import type { Location } from "../../bridge/types";
import { w } from "../../words";
import { shapeOf, Shape, standsAs } from "./shapes";

export function LocationStrip({ places }: { places: Location[] }) {
  const rows: Location[][] = [];
  const most = places.length > 40 ? 20 : 40;
  for (let i = 0; i < places.length; i += most) rows.push(places.slice(i, i + most));
  const label = w.partsScreen.cells(
    places.map((l) => `${l.tag} ${standsAs(l.whole, l.not_read, l.stage)}`).join(", "),
  );
  return (
    <span class="where" role="img" aria-label={label}>
      {rows.map((r) => (
        <span>
          {r.map((l) => {
            const s = shapeOf(l.whole, l.stage);
            return (
              <i class={`c-${s}`} key={l.id}>
                {s !== "within" && s !== "close" && s !== "drilled" ? <Shape s={s} /> : null}
              </i>
            );
          })}
        </span>
      ))}
    </span>
  );
}
