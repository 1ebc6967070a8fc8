// What is to be done at one location.
import { useEffect, useState } from "preact/hooks";
import type { DecisionAdvice, Disposition, LocationView } from "../../bridge/types";
import { book } from "../../data/book";
import { w } from "../../words";
import { Choice, Field, Num, upper } from "../kit/bits";
import { isDiameter } from "../finding";
import { useLive } from "../hooks";
import { V } from "../kit/shapes";
import { limitText, nameOf } from "../photo/checks";
import { LookCrop } from "./attempts";
import { units } from "../prefs";
import { about, Form } from "./form";

export function DecideForm({ id }: { id: string }) {
  const [action, setAction] = useState<Disposition>(),
    [reason, setReason] = useState(""),
    [answer, setAnswer] = useState(""),
    [advice, setAdvice] = useState<DecisionAdvice | "none">();
  useEffect(() => {
    book.call("advice", { id, units: units.value }).then(setAdvice, () => setAdvice("none")); // it can be decided without
  }, [id]);
  const given = advice === "none" ? undefined : advice;
  return (
    <Form
      id={id}
      title={(v) => w.decide.title(v.location.tag)}
      why={
        !action
          ? w.decide.action
          : action === "keep" && !reason.trim()
            ? w.decide.reasonKeep
            : undefined
      }
      words={w.decide.saved}
      make={(v) => [
        {
          kind: "disposition",
          ...about(v),
          data: {
            finding: v.location.finding ?? "",
            action: action!,
            ...(reason.trim() && { reason: reason.trim() }),
            ...(answer.trim() && { answer: answer.trim() }),
          },
        },
      ]}
    >
      {(v) => (
        <>
          {v.location.work?.map((x) => (
            <p class="note">
              <b>{w.workScreen.groups[x.kind]}</b> {x.text}
            </p>
          ))}
          <Judged v={v} />
          {given && (
            <div class="advice">
              <p>
                <b>{given.text}</b>
              </p>
              <p class="label">{given.source}</p>
            </div>
          )}
          {/* Not before the advice is there: it orders them, and none may move under a finger. */}
          {advice && (
            <Choice<Disposition>
              rows
              label={w.decide.action}
              value={action}
              set={setAction}
              of={(given?.choices ?? usual).map((d, n) => ({
                value: d,
                text: upper(w.disposition[d]),
                ...(given && n === 0 && { note: w.decide.fits }),
              }))}
            />
          )}
          {action === "keep" && <p class="note">{w.decide.keepNote}</p>}
          <Field area label={w.decide.reason} value={reason} set={setReason} />
          {action === "refer to the designer" && (
            <Field label={w.decide.answer} value={answer} set={setAnswer} />
          )}
          <p class="note">{w.cautionPhoto}</p>
        </>
      )}
    </Form>
  );
}

const usual: Disposition[] = ["drill out", "re-measure", "keep", "refer to the designer"];

/** What the decision is about: the picture, and what was read beside its limit, the worst first. */
function Judged({ v }: { v: LocationView }) {
  const last = v.looks[v.now] ?? v.looks.at(-1),
    shots = useLive("state.concerning", { id: v.part.id }).value ?? [];
  if (!last) return null;
  const rows = last.rows.map((r) => last.checks[r[0]!]!),
    open = rows.filter((c) => c.verdict !== "within"),
    shown = open.length > 0 ? open : rows.slice(0, 1);
  return (
    <div class="decided">
      <LookCrop k={last} v={v} shots={shots} />
      <div class="grow">
        {shown.slice(0, 3).map((c, i) => (
          <div key={i}>
            <p>
              {nameOf(c.reading)} <V v={c.verdict} />
            </p>
            <p>
              <Num mm={c.reading.value_mm} u={c.U_mm} d={isDiameter(c.reading.quantity)} unit />,{" "}
              <span class="nowrap">{limitText(c.limit)}</span>
            </p>
            <p class="label">{c.limit.source}</p>
          </div>
        ))}
        {last.missing.length > 0 && (
          <p class="note">{w.inspect.notRead(last.missing.map((m) => m.what).join(", "))}</p>
        )}
      </div>
    </div>
  );
}
