// One location is changed: its tag, its fastener, what stands there.
import { useState } from "preact/hooks";
import type { Draft, Stage } from "../../bridge/types";
import { path } from "../../router";
import { w } from "../../words";
import { handbook } from "../hooks";
import { Choice, Field, Tick } from "../kit/bits";
import { draftOf, SpecForm, specOf, type SpecDraft } from "../parts/specform";
import { about, Form } from "./form";

export function LocationEdit({ id }: { id: string }) {
  const [tag, setTag] = useState<string>(),
    [own, setOwn] = useState<boolean>(),
    [spec, setSpec] = useState<SpecDraft>(),
    [stage, setStage] = useState<Stage>(),
    [stray, setStray] = useState<boolean>(),
    [out, setOut] = useState<boolean>();
  const h = handbook();
  return (
    <Form
      id={id}
      title={() => w.location.title}
      why={tag === "" ? w.location.tag : undefined}
      words={w.location.saved}
      make={async (v) => {
        const l = v.location;
        const data = {
          ...(tag && tag !== l.tag && { tag: tag.trim() }),
          ...(own && spec && { spec: await specOf(spec, v.spec?.limit_set, id) }),
          ...(stray !== undefined && stray !== (l.stray ?? false) && { stray }),
          ...(out !== undefined && out !== (l.out ?? false) && { out }),
        };
        const drafts: Draft[] = [];
        if (Object.keys(data).length) drafts.push({ kind: "location", ...about(v), data });
        if (stage && stage !== l.stage)
          drafts.push({ kind: "stage", ...about(v), data: { stage } });
        return drafts;
      }}
    >
      {(v) => {
        const l = v.location;
        return (
          <>
            <Field label={w.location.tag} value={tag ?? l.tag} set={setTag} />
            {l.stage !== "set rivet" && h && (
              <Choice<Stage>
                label={w.history.markStage}
                value={stage ?? l.stage}
                set={setStage}
                of={(["marked", "pilot hole", "final hole"] as const).map((s) => ({
                  value: s,
                  text: w.stage[s],
                }))}
                hint={w.location.stageNote}
              />
            )}
            <Tick
              checked={own ?? !!l.spec}
              set={(x) => {
                setOwn(x);
                setSpec(draftOf(v.spec, id, v.part.id));
              }}
            >
              {w.location.own} <small>{w.location.ownNote}</small>
            </Tick>
            {(own ?? false) && spec && <SpecForm value={spec} set={setSpec} />}
            <p>
              <a class="link" href={`${path("part", v.part.id, "layout")}?pin=${id}`}>
                {w.layoutScreen.setPin(l.tag)}
              </a>
            </p>
            <p>
              <a class="link" href={`${path("part", v.part.id, "limits")}?location=${id}`}>
                {w.limitsScreen.ofAlone(l.tag)}
              </a>
            </p>
            {l.stage !== "set rivet" && (
              <Tick checked={stray ?? l.stray ?? false} set={setStray}>
                {w.location.stray} <small>{w.location.strayNote}</small>
              </Tick>
            )}
            <Tick checked={out ?? l.out ?? false} set={setOut}>
              {w.location.out} <small>{w.location.outSure}</small>
            </Tick>
          </>
        );
      }}
    </Form>
  );
}
