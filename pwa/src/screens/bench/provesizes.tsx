// The objects of a gauge study, numbered on their photo; their sizes, typed blind; what it comes to.
import { useState } from "preact/hooks";
import type { GaugeObject, GaugePhoto, GaugeResult, Point, Setup, Told } from "../../bridge/types";
import { Refused } from "../../bridge/client";
import { save } from "../../data/entries";
import { bw } from "../../words/bench";
import { shown, useLive, usePicture } from "../hooks";
import { Field, sentence, Trouble } from "../kit/bits";
import { useAuthor } from "../kit/author";
import { say } from "../kit/say";
import { Act, Sheet } from "../kit/sheet";
import { currentProject } from "../parts/current";
import type { SpecDraft } from "../parts/specform";
import { calibration } from "../photo/hand";
import { units } from "../prefs";
import { identity } from "../role";
import { useAsk, useKept, useLengths } from "./form";

/** One photo of the study, as far as it is needed until the study is kept. */
export interface Shot extends GaugePhoto {
  hash: string;
  width: number;
  height: number;
  kind: Setup["kind"];
  method: string;
  rings: (Point[] | null)[];
}
export interface Prove {
  spec: SpecDraft;
  /** Printed ones are the objects. */
  circles: boolean;
  light: string;
  taking: boolean;
  shots: Shot[];
}
type Matched = Told<"study.match">;

export function ProveSizes({ d, again, done }: { d: Prove; again: () => void; done: () => void }) {
  const p = bw.prove;
  const project = currentProject(useLive("state.projects", {}).value);
  const author = useAuthor();
  const told = useAsk(
    "study.match",
    d.shots.map(({ camera, layout, stretch = 0, spots }) => ({ camera, layout, stretch, spots })),
  );
  const m = told.value;
  const [t, set] = useKept("prove sizes", { by: p.calipers, u: "", refs: [] as string[] });
  const [e, setE] = useState<unknown>();
  const texts: Record<string, string> = {};
  if (!d.circles) {
    texts["u"] = t.u;
    m?.objects.forEach((_, i) => (texts[i] = t.refs[i] ?? ""));
  }
  const mm = useLengths(texts);
  const whole = !!m && !!mm?.["u"]?.mm && m.objects.every((_, i) => mm[i]?.mm);
  const objects: GaugeObject[] | undefined = d.circles
    ? m?.objects
    : whole
      ? m.objects.map((o, i) => ({
          ...o,
          name: p.object(i + 1),
          reference_mm: mm[i]!.mm!,
          U_mm: mm["u"]!.mm!,
        }))
      : undefined;
  const judged = useAsk("study", objects && { objects });
  const r = objects && judged.value;
  const cal = calibration(project);
  const keep = async (): Promise<void> => {
    try {
      await author.keep();
      const first = d.shots[0]!;
      await save([
        {
          kind: "study",
          project: project!.id,
          data: {
            device: identity.value!.device,
            ...(first.camera && { camera: first.camera }),
            layout: first.layout,
            kind: first.kind,
            ...(cal && { sheet: cal.data.sheet, calibration: cal.id }),
            size: d.circles ? "" : d.spec.size,
            ...(d.light && { light: d.light }),
            instrument: d.circles ? p.printed : t.by.trim(),
            objects: objects!,
            result: r!,
            method: first.method,
            photos: d.shots.map((s) => s.hash),
          },
        },
      ]);
      set({ ...t, refs: [] });
      say(p.kept);
      done();
    } catch (x) {
      setE(x);
    }
  };
  const wrong = mm && Object.values(mm).find((x) => x.wrong)?.wrong;
  return (
    <Sheet
      title={p.sizes}
      facts={d.circles ? p.printed : p.sizesFacts}
      back="/settings"
      as="column"
      strip={
        <>
          <Act act={again}>{p.again}</Act>
          <Act
            go
            icon="save"
            why={wrong ?? (r && (d.circles || t.by.trim()) ? author.why : p.typeAll)}
            act={() => void keep()}
          >
            {p.keep}
          </Act>
        </>
      }
    >
      <Trouble e={e ?? told.error ?? judged.error ?? (m?.few && new Refused(m.few))} />
      {m && <Numbered s={d.shots[m.base]!} m={m} />}
      {m && (
        <div class="pad stack">
          {!d.circles && (
            <>
              <p>{p.blind}</p>
              <div class="two">
                <Field label={p.by} value={t.by} set={(by) => set({ ...t, by })} />
                <Field
                  label={p.u}
                  hint={p.uHint}
                  unit={units.value}
                  mode="decimal"
                  value={t.u}
                  set={(u) => set({ ...t, u })}
                  wrong={mm?.["u"]?.wrong}
                />
                {m.objects.map((_, i) => (
                  <Field
                    label={p.object(i + 1)}
                    unit={units.value}
                    mode="decimal"
                    value={t.refs[i] ?? ""}
                    set={(x) =>
                      set({
                        ...t,
                        refs: m.objects.map((_, k) => (k === i ? x : (t.refs[k] ?? ""))),
                      })
                    }
                    wrong={mm?.[i]?.wrong}
                  />
                ))}
              </div>
            </>
          )}
          {author.ask}
        </div>
      )}
      {r && <Outcome r={r} of={objects} />}
    </Sheet>
  );
}

/** The photo with a number at each object. */
function Numbered({ s, m }: { s: Shot; m: Matched }) {
  const url = usePicture(s.hash, "original");
  const rings = m.spots.map((k) => s.rings[k] ?? []);
  const size = Math.max(s.width, s.height) / 22;
  // The objects with some room about them: the card is not looked at.
  const [[x, w], [y, h]] = [0, 1].map((k) => {
    const at = rings.flat().map((q) => q[k]!);
    const from = Math.min(...at) - 2 * size;
    return [from, Math.max(...at) + 2 * size - from];
  }) as [[number, number], [number, number]];
  return (
    <svg
      class="numbered"
      viewBox={`${x} ${y} ${w} ${h}`}
      role="img"
      aria-label={bw.prove.alt(m.objects.length)}
    >
      {url && <image href={url} x="0" y="0" width={s.width} height={s.height} />}
      {rings.map((ring, i) => {
        const top = ring.reduce((a, b) => (b[1] < a[1] ? b : a), ring[0] ?? [0, 0]);
        return (
          <>
            <path d={`M${ring.map((q) => q.join(" ")).join("L")}Z`} stroke-width={size / 12} />
            <text x={top[0]} y={top[1] - size / 4} font-size={size} stroke-width={size / 5}>
              {s.spots[m.spots[i]!]?.printed_mm ?? i + 1}
            </text>
          </>
        );
      })}
    </svg>
  );
}

/** The sign of what does not round to nothing. */
const signed = (mm: number): string => (mm >= 0.005 ? "+" : mm <= -0.005 ? "\u2212" : "");

/** What the study comes to, in plain words and figures. */
function Outcome({ r, of }: { r: GaugeResult; of: GaugeObject[] }) {
  const p = bw.prove;
  const few = r.verdict === "too few";
  const rows: [string, string][] = few
    ? []
    : [
        [p.bias, signed(r.bias_mm) + shown(Math.abs(r.bias_mm), r.bias_U_mm).with_u],
        [p.repeat, shown(r.repeat_mm).value],
        [p.between, shown(r.objects_mm).value],
        [p.stated, shown(r.mean_U_mm).value],
        ...r.errors_mm.map((e, i): [string, string] => [
          p.error(of[i]!.name),
          e ? signed(e) + shown(Math.abs(e)).value : "–",
        ]),
      ];
  return (
    <div role="status">
      <div class="answer">
        <b>{p.verdict[r.verdict]}</b>
        <p>{sentence(r.why)}</p>
      </div>
      <div class="pad stack">
        {rows.map(([label, value]) => (
          <div class="two-col">
            <span>
              <span>{label}</span>
              <b>{value}</b>
            </span>
          </div>
        ))}
        {r.notes?.map((n) => (
          <p class="note">{sentence(n)}</p>
        ))}
        {!few && <p class="note">{p.said[r.verdict]}</p>}
      </div>
    </div>
  );
}
