// A new rivet is set at one location.
import { useState } from "preact/hooks";
import { path } from "../../router";
import { w } from "../../words";
import { Field, Tick } from "../kit/bits";
import { draftOf, SpecForm, specOf, type SpecDraft } from "../parts/specform";
import { about, Form } from "./form";

export function AttemptForm({ id }: { id: string }) {
  const [tool, setTool] = useState(""),
    [own, setOwn] = useState(false),
    [spec, setSpec] = useState<SpecDraft>();
  return (
    <Form
      id={id}
      title={(v) => w.attempt.title(v.location.tag)}
      why={undefined}
      words={w.attempt.saved}
      then={(v) => `${path("part", v.part.id, "snap")}?at=${id}`}
      make={async (v) => {
        const other = own && spec && { spec: await specOf(spec, v.spec?.limit_set, id) };
        return [
          {
            kind: "attempt",
            ...about(v),
            data: { ...(tool.trim() && { tool: tool.trim() }), ...other },
          },
          ...(other ? [{ kind: "location" as const, ...about(v), data: other }] : []),
        ];
      }}
    >
      {(v) => (
        <>
          <Field label={w.attempt.tool} hint={w.attempt.toolHint} value={tool} set={setTool} />
          <Tick
            checked={own}
            set={(x) => {
              setOwn(x);
              setSpec(draftOf(v.spec, id, v.part.id));
            }}
          >
            {w.attempt.own}
          </Tick>
          {own && spec && <SpecForm value={spec} set={setSpec} />}
        </>
      )}
    </Form>
  );
}
