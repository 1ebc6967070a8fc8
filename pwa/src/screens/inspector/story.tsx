// What was done and seen at a location besides measuring, for the one who decides.
import type { LocationView } from "../../bridge/types";
import { w } from "../../words";
import { findingOf, nowAt } from "../finding";
import { time } from "../dates";
import { handbook } from "../hooks";
import { Line } from "../kit/bits";
import { cameTo, entryLine } from "../place/entryline";

/** What builder and inspector did here besides measuring, oldest first, and what eyes saw. */
export function Story({ v }: { v: LocationView }) {
  const over = new Set(v.entries.flatMap((e) => e.supersedes ?? [])),
    h = handbook();
  const told = v.entries.filter(
    (e) =>
      !over.has(e.id) &&
      ["gauge", "disposition", "drilled-out", "attempt", "note", "decision"].includes(e.kind),
  );
  const answers = findingOf(v, nowAt(v))?.data.answers ?? [];
  const seen = answers.filter((a) => a.seen === "yes" || a.note),
    clean = answers.filter((a) => a.seen === "no" && !a.note).length;
  if (told.length + answers.length === 0) return null;
  return (
    <>
      <div class="head">
        <h2>{w.inspect.story}</h2>
      </div>
      <ul class="rows">
        {seen.map((a) => (
          <Line
            key={a.question}
            what={
              <>
                {h?.questions.find((q) => q.id === a.question)?.text ?? a.question}{" "}
                <b>{w.result.seen[a.seen]}</b>
              </>
            }
            small={a.note}
          />
        ))}
        {clean > 0 && <Line what={w.inspect.looked(clean)} />}
        {told.map((e) => (
          <Line
            key={e.id}
            what={entryLine(e, cameTo(v.own[e.id])).text}
            small={`${time(e.at)} · ${e.by}`}
          />
        ))}
      </ul>
    </>
  );
}
