// The visual questions for one fastener: what only an eye on the part can answer.
import type { Answer, Seen } from "../../bridge/types";
import { w } from "../../words";
import { handbook } from "../hooks";
import { Choice, sentence } from "../kit/bits";
import { place, placedAt } from "./hand";
import type { InWork } from "./usework";

export function Looks({
  k,
  i,
  tag,
  choose,
}: {
  k: InWork;
  i: number;
  tag: string;
  choose: (i: number) => void;
}) {
  const l = k.doc!.locations[i]!,
    list = (handbook()?.questions ?? []).filter((q) => q.kinds.includes(k.doc!.spec.kind));
  const given = placedAt(k.hand, l)?.answers ?? [];
  const set = (question: string, seen: Seen): void => {
    const rest: Answer[] = given.filter((a) => a.question !== question);
    k.setHand(place(k.hand, l, { answers: [...rest, { question, seen }] }));
  };
  const next = k.doc!.locations.findIndex((x, n) => n > i && !x.ask);
  return (
    <div class="pad stack">
      <h2>
        {tag}: {w.result.questions.toLowerCase()}
      </h2>
      <p class="note">{w.result.questionsSub}</p>
      {list.map((q) => (
        <Choice<Seen>
          key={q.id}
          label={sentence(q.text)}
          value={given.find((a) => a.question === q.id)?.seen ?? "not looked"}
          set={(s) => set(q.id, s)}
          of={(["no", "yes", "not looked"] as const).map((s) => ({
            value: s,
            text: w.result.seen[s],
          }))}
          hint={`${q.source}${q.note ? ` · ${q.note}` : ""}`}
        />
      ))}
      {next > 0 && (
        <button type="button" class="btn wide" onClick={() => choose(next)}>
          {w.next}: {k.assigned[next]?.tag}
        </button>
      )}
    </div>
  );
}
