// One look for the photo: what only an eye on the part can answer. All are fine but those that are
// marked; which it covered is kept with each answer (see saveWork).
import type { Answer } from "../../bridge/types";
import { w } from "../../words";
import { handbook } from "../hooks";
import { sentence } from "../kit/bits";
import { place, placedAt, type Hand } from "./hand";
import { inOrder } from "./tags";
import type { InWork } from "./usework";

export function Looks({ k }: { k: InWork }) {
  const all = inOrder(k).filter((i) => k.assigned[i]?.loc !== "none" && !k.doc!.locations[i]!.ask),
    list = (handbook()?.questions ?? []).filter((q) => q.kinds.includes(k.doc!.spec.kind));
  const tag = (i: number): string => k.assigned[i]!.tag,
    given = (i: number): Answer[] => placedAt(k.hand, k.doc!.locations[i]!)?.answers ?? [],
    faulty = (i: number, q: string): boolean =>
      given(i).some((a) => a.question === q && a.seen === "yes"),
    looked = (i: number): boolean =>
      list.every((q) => given(i).some((a) => a.question === q.id && a.seen !== "not looked"));
  const put = (answers: (i: number) => Answer[]): void =>
    k.setHand(
      all.reduce((h: Hand, i) => place(h, k.doc!.locations[i]!, { answers: answers(i) }), k.hand),
    );
  const toggle = (n: number, q: string): void =>
    put((i) => {
      const rest = given(i).filter((a) => a.question !== q);
      if (i !== n) return given(i);
      if (!faulty(i, q)) return [...rest, { question: q, seen: "yes" }];
      return looked(i) ? [...rest, { question: q, seen: "no" }] : rest;
    });
  const fine = (): void =>
    put((i) => list.map((q) => ({ question: q.id, seen: faulty(i, q.id) ? "yes" : "no" })));
  const marked = all.filter((i) => list.some((q) => faulty(i, q.id))).map(tag),
    done = all.length > 0 && all.every(looked);
  return (
    <div class="pad stack looks">
      <h2>{w.result.questions}</h2>
      <p class="note">{w.result.lookSub(all.map(tag))}</p>
      <button type="button" class="btn wide" aria-pressed={done} onClick={fine}>
        {marked.length > 0 ? w.result.fineBut(marked) : w.result.allFine(all.length)}
      </button>
      <p role="status" class="label">
        {done ? w.result.looked : w.result.notLooked}
      </p>
      {list.map((q) => (
        <fieldset class="choice" key={q.id}>
          <legend>{sentence(q.text)}</legend>
          <div>
            {all.map((i) => (
              <label key={i}>
                <input type="checkbox" checked={faulty(i, q.id)} onChange={() => toggle(i, q.id)} />
                <span>{tag(i)}</span>
              </label>
            ))}
          </div>
          <small>
            {q.source}
            {q.note ? ` · ${q.note}` : ""}
          </small>
        </fieldset>
      ))}
    </div>
  );
}
