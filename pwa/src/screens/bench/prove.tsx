// Prove it on your own phone: objects of known size, on three photos, against what calipers say.
import { useEffect, useState } from "preact/hooks";
import type { Project } from "../../bridge/types";
import { Refused } from "../../bridge/client";
import { dropUnnamed, keepPage, photo } from "../../data/photos";
import { eye } from "../../eye";
import { back } from "../../router";
import { w } from "../../words";
import { bw } from "../../words/bench";
import { day } from "../dates";
import { useLive } from "../hooks";
import { Choice, Field, Line, Steps, Trouble } from "../kit/bits";
import { Act, Sheet } from "../kit/sheet";
import { currentProject } from "../parts/current";
import { emptySpec, SpecForm, specOf } from "../parts/specform";
import { GuideCells } from "../photo/aim";
import { calibration, plain } from "../photo/hand";
import { LiveView } from "../photo/liveview";
import { ShutterRow } from "../photo/shutterrow";
import { useCamera } from "../photo/usecamera";
import { identity } from "../role";
import { useKept } from "./form";
import { ProveSizes, type Prove } from "./provesizes";

const PHOTOS = 3;
const none: Prove = { spec: emptySpec, circles: false, light: "", taking: false, shots: [] };

export function ProveScreen() {
  const [d, set] = useKept<Prove>("prove", none);
  const done = (): void => set({ ...d, taking: false, shots: [] });
  const drop = async (): Promise<void> => {
    done();
    for (const s of d.shots) await dropUnnamed(s.hash);
  };
  if (d.shots.length >= PHOTOS) return <ProveSizes d={d} again={() => void drop()} done={done} />;
  return d.taking ? (
    <Take d={d} set={set} stop={() => void drop()} />
  ) : (
    <Plan d={d} set={(x) => set({ ...d, ...x })} />
  );
}

/** What is photographed, and what was proven before. */
function Plan({ d, set }: { d: Prove; set: (x: Partial<Prove>) => void }) {
  const p = bw.prove;
  const project = currentProject(useLive("state.projects", {}).value);
  const mine = (project?.studies ?? []).filter((s) => s.phone === identity.value?.device);
  return (
    <Sheet
      title={p.title}
      facts={p.facts}
      back="/settings"
      as="column"
      strip={
        <>
          <Act act={() => back("/settings")}>{w.back}</Act>
          <Act
            go
            icon="snap"
            why={
              !project
                ? w.partsScreen.noProject
                : !project.cards?.length
                  ? p.needCard
                  : !d.circles && !d.spec.size.trim()
                    ? w.part.needSize
                    : undefined
            }
            act={() => set({ taking: true })}
          >
            {p.take}
          </Act>
        </>
      }
    >
      <p class="pad">{p.why}</p>
      <div class="pad">
        <Choice
          label={p.on}
          value={d.circles ? "c" : ""}
          set={(x) => set({ circles: !!x })}
          of={[
            { value: "", text: p.gauges },
            { value: "c", text: w.kind["printed-circles"] },
          ]}
        />
      </div>
      <Steps of={d.circles ? p.circleSteps : p.steps} />
      <div class="pad stack">
        {d.circles ? (
          <p class="note">{p.optics}</p>
        ) : (
          <>
            <SpecForm value={d.spec} set={(spec) => set({ spec })} />
            <p class="note">{p.objects[d.spec.kind]}</p>
          </>
        )}
        <Field label={p.light} hint={p.lightHint} value={d.light} set={(light) => set({ light })} />
      </div>
      {mine.length > 0 && (
        <>
          <div class="head">
            <h2>{p.before}</h2>
          </div>
          <ul class="rows">
            {[...mine].reverse().map((s) => (
              <Line
                key={s.entry}
                what={<b>{p.line(w.kind[s.kind], s.size, s.sheet, s.layout)}</b>}
                small={`${day(s.at)}: ${s.result.why}`}
              />
            ))}
          </ul>
        </>
      )}
    </Sheet>
  );
}

/** What a photo gives of the objects. */
async function look(d: Prove, project: Project | undefined, hash: string) {
  const bytes = await (await photo(hash))!.original!.arrayBuffer(),
    cal = calibration(project),
    by = cal ? { calibration: cal.data } : {};
  if (d.circles) {
    const { rings_px: rings, ...seen } = await eye.call("circles", by, { bytes });
    return { kind: "printed-circles" as const, rings, ...seen };
  }
  // Without earlier studies: what is proven is the U that photos state by themselves.
  const doc = await eye.call("measure", { spec: (await specOf(d.spec))!, ...by }, { bytes });
  const read = doc.locations.filter((l) => !l.ask);
  if (!doc.scale?.layout || read.length === 0)
    throw new Refused(doc.problems[0] ?? doc.locations[0]!.ask!); // one of both says why
  return {
    width: doc.width!,
    height: doc.height!,
    kind: doc.spec.kind,
    method: doc.method,
    camera: doc.camera ?? "",
    layout: doc.scale.layout,
    spots: read.map((l) => ({
      x_mm: l.sheet_mm[0],
      y_mm: l.sheet_mm[1],
      readings: plain(l.readings),
    })),
    rings: read.map((l) => l.outline_px),
  };
}

/** Three photos, each measured at once. */
function Take({ d, set, stop }: { d: Prove; set: (d: Prove) => void; stop: () => void }) {
  const p = bw.prove;
  const project = currentProject(useLive("state.projects", {}).value);
  const live = useCamera(undefined),
    { video, cam, none, g } = live;
  const [busy, setBusy] = useState<number>(),
    [e, setE] = useState<unknown>();
  useEffect(() => {
    if (busy === undefined) g?.resume();
    else g?.pause();
  }, [busy]);
  const takeIn = async (files: Blob[]): Promise<void> => {
    const shots = [...d.shots];
    setE(undefined);
    try {
      for (const f of files.slice(0, PHOTOS - shots.length)) {
        setBusy(shots.length);
        const hash = await keepPage(eye, f);
        if (shots.some((s) => s.hash === hash)) throw new Refused(p.same);
        try {
          shots.push({ hash, ...(await look(d, project, hash)) });
        } catch (x) {
          await dropUnnamed(hash);
          throw x;
        }
        set({ ...d, shots: [...shots] });
      }
    } catch (x) {
      setE(x);
    } finally {
      setBusy(undefined);
    }
  };
  const shoot = async (): Promise<void> => {
    if (busy !== undefined || !cam || !video.current) return;
    setBusy(d.shots.length);
    try {
      await takeIn([await cam.shoot(video.current)]);
    } catch (x) {
      setE(x);
      setBusy(undefined);
    }
  };
  return (
    <Sheet
      title={p.photo(d.shots.length + 1, PHOTOS)}
      facts={d.shots.length ? p.down : p.lay}
      back="/settings"
      as="still"
      cell={{ label: w.cancel, value: "×", act: stop }}
      doing={busy === undefined ? undefined : { what: p.measuring, fraction: 0.5 }}
      strip={<ShutterRow v={live} take={(f) => void takeIn(f)} shoot={() => void shoot()} />}
    >
      <LiveView v={live} take={(f) => void takeIn(f)} />
      {!none && <GuideCells g={g} />}
      <div class="pad stack" role="status">
        {d.shots.map((s, i) => (
          <p class="note">{p.read(i + 1, s.spots.length)}</p>
        ))}
        {d.shots.length > 0 && <p>{p.down}</p>}
      </div>
      <Trouble e={e} />
    </Sheet>
  );
}
