// Drilling out: the steps with their cautions, then what the hole decides, and whether the next size
// would still hold here.
import { useEffect, useState } from "preact/hooks";
import type { Rework } from "../../bridge/types";
import { book } from "../../data/book";
import { save } from "../../data/entries";
import { go, path } from "../../router";
import { w } from "../../words";
import { isDiameter, nowAt, sizeName } from "../finding";
import { handbook, shown, useLive } from "../hooks";
import { Field, Line, Num, sentence, Trouble, upper, Waiting } from "../kit/bits";
import { LimitRule } from "../kit/limitrule";
import { nameOf, NotRead } from "../photo/checks";
import { say } from "../kit/say";
import { V } from "../kit/shapes";
import { Act, Sheet } from "../kit/sheet";
import { memory, remember, units, type Begun } from "../prefs";

export function ReworkScreen({ id }: { id: string }) {
  const live = useLive("state.location", { id });
  const [rw, setRw] = useState<Rework>(),
    [e, setE] = useState<unknown>();
  const v = live.value;
  // Where it was interrupted it goes on.
  const all = memory.value?.rework ?? {},
    begun = all[id]?.attempt === v?.location.attempt ? all[id] : undefined,
    at = begun?.at ?? 0,
    drill = begun?.drill ?? "",
    reason = begun?.reason ?? "";
  const keep = (change: Partial<Begun>): void =>
    void remember({
      rework: {
        ...memory.value?.rework,
        [id]: { at, drill, reason, ...change, attempt: v!.location.attempt },
      },
    });
  const spec = v && (nowAt(v)?.spec ?? v.spec);
  useEffect(() => {
    if (v) book.call("rework", { id, units: units.value }).then(setRw, setE);
  }, [v?.location.last_id]);
  const h = handbook(),
    home = path("location", id);
  if (!v || !rw)
    return (
      <Sheet title={w.history.drilledAction} back={home}>
        {(e ?? live.error) ? <Trouble e={e ?? live.error} /> : <Waiting />}
      </Sheet>
    );
  const steps = rw.steps,
    last = at >= steps.length || !!steps[at]?.photo;
  const next = rw.next_size;
  const mm = Number(drill.replace(",", ".").replace(/\s*mm\s*$/, "")),
    wrong = drill.trim() && !(mm > 0) ? w.rework.drillWrong : undefined;
  const drilled = async (): Promise<void> => {
    try {
      await save([
        {
          kind: "drilled-out",
          project: v.project.id,
          part: v.part.id,
          location: id,
          data: {
            ...(v.location.finding && { finding: v.location.finding }),
            ...(reason.trim() && { reason: reason.trim() }),
            ...(mm > 0 && { drill_mm: mm }),
            steps: steps.map((s) => s.text),
          },
        },
      ]);
      const { [id]: _, ...others } = memory.value?.rework ?? {};
      void remember({ rework: others });
      say(w.rework.saved);
      go(`${path("part", v.part.id, "snap")}?at=${id}`, { replace: true });
    } catch (x) {
      setE(x);
    }
  };
  return (
    <Sheet
      title={w.rework.title(v.location.tag)}
      facts={[
        v.part.name,
        spec && sizeName(spec.nominal_mm, h?.solid, h?.pulled),
        spec && w.kind[spec.kind],
      ]
        .filter(Boolean)
        .join(" · ")}
      back={home}
      as="column"
      cell={{
        label: w.rework.step,
        value: w.rework.of(Math.min(at + 1, steps.length), steps.length),
      }}
      strip={
        <>
          <Act to={home}>{w.rework.stop}</Act>
          {last ? (
            <Act go icon="snap" why={wrong} act={() => void drilled()}>
              {w.rework.drilled}
            </Act>
          ) : (
            <>
              <Act act={() => keep({ at: steps.findIndex((s) => s.photo) })}>{w.rework.isOut}</Act>
              <Act go act={() => keep({ at: at + 1 })}>
                {w.rework.doneNext}
              </Act>
            </>
          )}
        </>
      }
    >
      <ol class="steps">
        {steps.map((s, i) => (
          <li
            class={i === at ? "now" : i < at ? "done" : ""}
            aria-current={i === at ? "step" : undefined}
            key={i}
          >
            <span class="n" aria-hidden="true">
              {i < at ? "–" : i + 1}
            </span>
            <div class="grow">
              <button type="button" class="steptext" onClick={() => keep({ at: i })}>
                {i === at ? <b>{sentence(s.text)}</b> : sentence(s.text)}
              </button>
              {i === at && (
                <>
                  {s.cautions?.map((c) => (
                    <p class="caution" key={c.id}>
                      {sentence(c.text)}
                    </p>
                  ))}
                  <p class="label">
                    {s.sources
                      .map((c) => c.source)
                      .filter((x, n, a) => a.indexOf(x) === n)
                      .join(" · ")}
                  </p>
                </>
              )}
            </div>
          </li>
        ))}
      </ol>
      {last && (
        <div class="pad stack">
          <Trouble e={e} />
          <Field
            label={w.rework.drillUsed}
            unit="mm"
            mode="decimal"
            value={drill}
            set={(d) => keep({ drill: d })}
            wrong={wrong}
          />
          <Field area label={w.rework.reason} value={reason} set={(r) => keep({ reason: r })} />
        </div>
      )}
      <div class="head gap">
        <h2>{w.rework.then}</h2>
      </div>
      <ul class="rows">
        {rw.hole_check.map((l) => (
          <Line key={l.name} what={upper(l.name)} small={`${l.source} · ${l.from}`}>
            <span class="rd">
              <b class="nowrap">
                {l.min_mm ? w.min : w.max} {shown(l.min_mm || l.max_mm || 0).value}
              </b>
              <small>{w.rework.same}</small>
            </span>
          </Line>
        ))}
      </ul>
      {next ? (
        <>
          <div class="head">
            <h2>{w.rework.larger(next.name)}</h2>
            <V v={next.whole} n={next.missing.length} />
          </div>
          {next.rows.flat().map((i) => {
            const c = next.checks[i]!;
            return (
              <div class="check" key={i}>
                <div class="top">
                  <span>
                    {nameOf(c.reading)}{" "}
                    <Num mm={c.reading.value_mm} u={c.U_mm} d={isDiameter(c.reading.quantity)} />
                  </span>
                  <V v={c.verdict} />
                </div>
                <LimitRule check={c} />
                <p class="label">
                  {c.limit.name}, {c.limit.source} · {next.said[i]?.from}
                </p>
              </div>
            );
          })}
          <NotRead missing={next.missing} />
        </>
      ) : (
        <p class="pad note">{w.rework.noNext}</p>
      )}
      {rw.notes?.length > 0 && (
        <ul class="pad">
          {rw.notes.map((n) => (
            <li class="note">{sentence(n)}</li>
          ))}
        </ul>
      )}
    </Sheet>
  );
}
