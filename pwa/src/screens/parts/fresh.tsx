// New locations before they are saved: one placed by figures, and the list of them all.
import type { Pin } from "../../bridge/types";
import { w } from "../../words";
import { Field, Line } from "../kit/bits";
import { number } from "./between";

/** A place typed in millimetres of the picture, or in percent where it has none. */
export function ByFigures({
  n,
  set,
  mm,
  place,
}: {
  n: { x: string; y: string };
  set: (c: { x?: string; y?: string }) => void;
  mm: { w: number; h: number } | undefined;
  place: (p: Pin) => void;
}) {
  const px = mm
    ? { x: number(n.x) / mm.w, y: number(n.y) / mm.h }
    : { x: number(n.x) / 100, y: number(n.y) / 100 };
  const pxGood = n.x !== "" && n.y !== "" && px.x >= 0 && px.x <= 1 && px.y >= 0 && px.y <= 1;
  return (
    <details>
      <summary>{w.layoutScreen.place}</summary>
      <div class="stack">
        <div class="two">
          <Field
            label={w.layoutScreen.x}
            unit={mm ? "mm" : "%"}
            mode="decimal"
            value={n.x}
            set={(x) => set({ x })}
          />
          <Field
            label={w.layoutScreen.y}
            unit={mm ? "mm" : "%"}
            mode="decimal"
            value={n.y}
            set={(y) => set({ y })}
          />
        </div>
        <button
          type="button"
          class="btn"
          aria-disabled={!pxGood}
          onClick={() => {
            if (pxGood) place(px);
          }}
        >
          {w.layoutScreen.placeAdd}
        </button>
      </div>
    </details>
  );
}

export function FreshList({ tags, remove }: { tags: string[]; remove: (i: number) => void }) {
  return (
    <>
      <div class="head">
        <h2>{w.layoutScreen.listHead}</h2>
      </div>
      <ul class="rows">
        {tags.map((tag, i) => (
          <Line key={i} tag={tag} what="">
            <button
              type="button"
              class="link"
              aria-label={w.layoutScreen.remove(tag)}
              onClick={() => remove(i)}
            >
              {w.limitsScreen.remove}
            </button>
          </Line>
        ))}
      </ul>
    </>
  );
}
