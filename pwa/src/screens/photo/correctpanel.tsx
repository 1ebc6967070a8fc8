// Beside the photo of a correction: the reading, a hint, and what works without a finger on the photo.
import { w } from "../../words";
import { isDiameter } from "../finding";
import { shown } from "../hooks";
import { Choice, Field, Num, sentence } from "../kit/bits";
import { Arrows } from "./arrows";
import { STEP_MM, type Correction } from "./usecorrection";
import type { InWork } from "./usework";

export function CorrectPanel({
  k,
  c,
  tagOf,
}: {
  k: InWork;
  c: Correction;
  tagOf: (n: number) => string;
}) {
  const doc = k.doc!,
    { tool, hs, hold, l, now, old } = c;
  return (
    <>
      {doc.problems.map((p) => (
        <p class="said">
          {sentence(p.text)} {sentence(p.do)}
        </p>
      ))}
      {(tool === "outline" || tool === "centre" || tool === "edge") && l && (
        <div class="check">
          <div class="big">
            {now && <Num mm={now.value_mm} u={now.U_mm} d={isDiameter(now.quantity)} unit />}
          </div>
          <p class="label" role="status">
            {[
              c.from === "measured" && w.correct.onMeasured,
              c.from && c.from !== "measured" && w.correct.from[c.from],
              !c.from && (c.byHand ? w.result.byHandMark : w.correct.asMeasured),
              c.past.length > 0 &&
                old &&
                now &&
                old.value_mm !== now.value_mm &&
                w.correct.was(shown(old.value_mm, old.U_mm).with_u),
            ]
              .filter(Boolean)
              .join(" · ")}
          </p>
        </div>
      )}
      <p class="note">
        {
          {
            outline: w.correct.hintOutline,
            centre: w.correct.hintCentre,
            edge: w.correct.hintEdge,
            add: doc.spec.mark ? w.correct.hintMark : w.correct.hintAdd,
            remove: w.correct.hintRemove,
            scale: c.scaleBy === "two" ? w.correct.hintScale : w.correct.hintRound,
          }[tool]
        }
      </p>
      {tool === "scale" && <ScaleFields c={c} />}
      {tool === "remove" && (
        <ul class="rows">
          {doc.locations.map((_, n) => (
            <li key={n}>
              <button type="button" class="row" onClick={() => c.removeAt(n)}>
                <span class="tag">{tagOf(n)}</span>
                <span class="what">{w.result.removeThis}</span>
              </button>
            </li>
          ))}
        </ul>
      )}
      {hs.length > 1 && tool !== "centre" && (
        <Choice
          label={w.correct.tools[tool]}
          hide
          value={String(hold)}
          set={(v) => c.setHold(Number(v))}
          of={hs.map((h, n) => ({ value: String(n), text: w.correct.handle[h.name] }))}
        />
      )}
      {hs[hold] && <Arrows nudge={c.nudge} of={hs[hold]!.name} />}
      {tool === "add" && (
        <button type="button" class="btn wide" onClick={() => c.addHere(hs[0]!.at)}>
          {w.correct.tools.add}: {w.correct.addAt.toLowerCase()}
        </button>
      )}
      {hs.length > 0 && <p class="label">{w.correct.move(shown(STEP_MM).value)}</p>}
    </>
  );
}

/** How a scale is given in place of the card. */
function ScaleFields({ c }: { c: Correction }) {
  return (
    <>
      <Choice
        label={w.correct.tools.scale}
        hide
        value={c.scaleBy}
        set={c.setScaleBy}
        of={[
          { value: "two", text: w.correct.twoPoints },
          { value: "round", text: w.correct.round },
        ]}
      />
      <Field
        label={c.scaleBy === "two" ? w.correct.distance : w.correct.diameter}
        unit="mm"
        mode="decimal"
        value={c.len}
        set={c.setLen}
      />
      <button type="button" class="btn wide" onClick={c.scale}>
        {w.correct.apply}
      </button>
    </>
  );
}
