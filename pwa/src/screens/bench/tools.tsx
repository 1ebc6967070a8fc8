// The builder's own tools, as measured, kept in the record.
import { useState } from "preact/hooks";
import type { Tool } from "../../bridge/types";
import { save } from "../../data/entries";
import { back } from "../../router";
import { w } from "../../words";
import { bw } from "../../words/bench";
import { shown, useLive } from "../hooks";
import { Field, Select, Trouble, Waiting } from "../kit/bits";
import { say } from "../kit/say";
import { Act, Sheet } from "../kit/sheet";
import { currentProject } from "../parts/current";
import { units } from "../prefs";
import { typed, useKept, useLengths } from "./form";

const kinds = [
  "puller",
  "squeezer",
  "bucking bar",
  "rivet set",
  "drill chuck",
  "right-angle drill",
  "temporary fastener with its pliers",
];
const none = { name: "", kind: "puller", nose: "", length: "", body: "", narrow: "", reach: "" };
type Typed = typeof none;

export function ToolsScreen() {
  const projects = useLive("state.projects", {}).value;
  const project = currentProject(projects);
  const t = bw.tools;
  const [d, set] = useKept<Typed>(`tool ${units.value}`, none);
  const [e, setE] = useState<unknown>();
  const { name, kind, ...texts } = d;
  const mm = useLengths(texts);
  /** Whether it is kept. */
  const keep = async (tool: Tool & { out?: boolean }, words: string): Promise<boolean> => {
    if (!project) return false;
    const was = project.tools?.find((x) => x.name === tool.name);
    try {
      await save([
        {
          kind: "tool",
          project: project.id,
          ...(was && { supersedes: [was.id] }),
          data: tool,
        },
      ]);
      say(words);
      setE(undefined);
      return true;
    } catch (x) {
      setE(x);
      return false;
    }
  };
  const add = async (): Promise<void> => {
    const v = (k: keyof typeof texts): number | undefined => mm?.[k].mm;
    const tool: Tool = {
      name: name.trim(),
      kind,
      nose_mm: v("nose") ?? 0,
      ...(v("length") && { length_mm: v("length")! }),
      ...(v("body") && { body_mm: v("body")! }),
      ...(v("narrow") && { narrow_mm: v("narrow")! }),
      ...(v("reach") && { reach_mm: v("reach")! }),
    };
    if (await keep(tool, t.saved(tool.name))) set(none);
  };
  const len = (k: keyof typeof texts, label: string, hint: string) => (
    <Field
      label={label}
      unit={units.value}
      value={d[k]}
      set={(x) => set({ ...d, [k]: x })}
      hint={hint}
      wrong={mm?.[k]?.wrong}
    />
  );
  const wrong = mm && Object.values(mm).find((x) => x.wrong)?.wrong;
  return (
    <Sheet
      title={t.title}
      facts={t.facts}
      back="/parts"
      as="column"
      strip={
        <>
          <Act act={() => back("/parts")}>{w.back}</Act>
          <Act
            go
            icon="save"
            why={
              !project
                ? w.partsScreen.noProject
                : !name.trim()
                  ? t.needName
                  : wrong || (!mm?.nose.mm ? t.noseHint : undefined)
            }
            act={() => void add()}
          >
            {t.save}
          </Act>
        </>
      }
    >
      {!projects && <Waiting />}
      {projects && !project?.tools?.length && (
        <div class="pad">
          <p>
            <b>{t.none}</b>
          </p>
          <p>{t.noneDo}</p>
        </div>
      )}
      <ul class="rows">
        {project?.tools?.map((x) => (
          <li key={x.id}>
            <div class="row">
              <span class="what">
                <b>{x.name}</b> <small>{x.kind}</small>
                <small>
                  {t.line(
                    shown(x.nose_mm).value,
                    x.length_mm ? shown(x.length_mm).value : "",
                    x.body_mm ? shown(x.body_mm).value : "",
                  )}
                </small>
              </span>
              <button
                class="link"
                type="button"
                onClick={() =>
                  set({
                    name: x.name,
                    kind: x.kind ?? "puller",
                    nose: typed(x.nose_mm),
                    length: typed(x.length_mm),
                    body: typed(x.body_mm),
                    narrow: typed(x.narrow_mm),
                    reach: typed(x.reach_mm),
                  })
                }
              >
                {t.change}
              </button>
              <button
                class="link"
                type="button"
                onClick={() => {
                  const { id: _, ...tool } = x;
                  void keep({ ...tool, out: true }, t.goneSaid(x.name));
                }}
              >
                {t.out}
              </button>
            </div>
          </li>
        ))}
      </ul>
      <div class="pad stack">
        <Trouble e={e} />
        <Field label={t.name} value={name} set={(x) => set({ ...d, name: x })} hint={t.nameHint} />
        <Select
          label={t.kind}
          value={kind}
          set={(x) => set({ ...d, kind: x })}
          of={kinds.map((k) => ({ value: k, text: k }))}
        />
        <div class="two">
          {len("nose", t.nose, t.noseHint)}
          {len("length", t.length, t.lengthHint)}
          {len("body", t.body, t.bodyHint)}
          {len("narrow", t.narrow, t.narrowHint)}
          {len("reach", t.reach, t.reachHint)}
        </div>
      </div>
    </Sheet>
  );
}
