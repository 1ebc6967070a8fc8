// What is to be done at one location.
import { useState } from "preact/hooks";
import type { Disposition } from "../../bridge/types";
import { w } from "../../words";
import { Choice, Field, upper } from "../kit/bits";
import { about, Form } from "./form";

export function DecideForm({ id }: { id: string }) {
  const [action, setAction] = useState<Disposition>(),
    [reason, setReason] = useState(""),
    [answer, setAnswer] = useState("");
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
          <Choice<Disposition>
            rows
            label={w.decide.action}
            value={action}
            set={setAction}
            of={(["drill out", "re-measure", "keep", "refer to the designer"] as const).map(
              (d) => ({ value: d, text: upper(w.disposition[d]) }),
            )}
          />
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
