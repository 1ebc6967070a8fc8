// Snap: the live view with one instruction at a time, or the phone's own camera app. The shutter is
// always free.
import { useEffect, useRef, useState } from "preact/hooks";
import type { NextView, PartView, Side } from "../../bridge/types";
import { snap, snapMore } from "../../capture/snap";
import { db, type DraftRow } from "../../data/db";
import { photosOf } from "../../data/photos";
import { isFull } from "../../data/storage";
import { eye } from "../../eye";
import { back, go, path, route } from "../../router";
import { w } from "../../words";
import { useLive } from "../hooks";
import { Select, Trouble } from "../kit/bits";
import { say } from "../kit/say";
import { Act, Sheet } from "../kit/sheet";
import { memory, remember } from "../prefs";
import { GuideCells } from "./aim";
import { calibration, choices, whatWords, type Hand, type What } from "./hand";
import { LiveView } from "./liveview";
import { NoRoom, RoomLeft } from "./roomleft";
import { ShutterRow } from "./shutterrow";
import { tagsTitle } from "./tags";
import { useCamera } from "./usecamera";
import { Opening } from "../kit/opening";

/** Of three in a row, where the second and the third are taken from, tilted as one more photo is. */
const ROW: Side[] = ["left", "right"];
const inRow = (taken: number): Omit<NextView, "card_px"> | undefined =>
  ROW[taken - 1] && { from: ROW[taken - 1]!, tilt_deg: 20 };

export function SnapScreen({ part }: { part: string }) {
  const id = route.value.query.get("more"),
    [of, setOf] = useState<DraftRow>();
  useEffect(() => {
    if (id) void db().then(async (d) => setOf(await d.get("drafts", id)));
  }, [id]);
  const view = useLive("state.part", { id: part });
  const v = view.value;
  if (!v || (id && !of))
    return <Opening title={w.snapScreen.title} back={path("part", part)} error={view.error} />;
  if (!v.spec)
    return (
      <Sheet
        title={w.snapScreen.title}
        facts={v.part.name}
        back={path("part", part)}
        strip={
          <Act go to={path("part", part, "edit")}>
            {w.part.change}
          </Act>
        }
      >
        <p class="pad">{w.snapScreen.rivetFirst}</p>
      </Sheet>
    );
  return <Snap v={v} of={id ? of : undefined} />;
}

/**
 * The live view, for a photo of its own, for one more of a draft's place, or for three in a row: the
 * second and the third are taken when the phone has come to where they are wanted from.
 */
function Snap({ v, of: one }: { v: PartView; of: DraftRow | undefined }) {
  const id = v.part.id;
  // Chosen for this photo, or expected after the one before.
  const at = (route.value.query.get("at") ?? route.value.query.get("next"))
    ?.split(",")
    .filter(Boolean);
  const wanted = at?.filter((x) => v.places.some((p) => p.location.id === x));
  const chosen = route.value.query.has("at") ? wanted : undefined;
  const asked =
      v.places.find((p) => p.location.id === chosen?.[0])?.look_for ?? memory.value?.lookAt?.[id],
    of = v.spec ? choices(v.spec) : [];
  const [what, setWhat] = useState<What>(
    asked && of.includes(asked) ? asked : (v.spec?.kind ?? "shop-head"),
  );
  const [zoom, setZoom] = useState<number>();
  const [busy, setBusy] = useState<string>();
  const [e, setE] = useState<unknown[]>([]);
  /** Taken, and not on the disk. */
  const [homeless, setHomeless] = useState<Blob[]>([]);
  const [three, setThree] = useState(false),
    [begun, setBegun] = useState<DraftRow>();
  const has = begun ? photosOf(begun).length : 0;
  const next = begun ? inRow(has) : one?.document?.next;
  const live = useCamera(next),
    { video, cam, none, g } = live;
  const tags = wanted?.map((x) => v.places.find((p) => p.location.id === x)!.location.tag) ?? [];

  const sheet = calibration(v.project);
  const takeIn = async (files: Blob[]): Promise<void> => {
    g?.pause();
    const bad: unknown[] = [],
      left: Blob[] = [];
    let first: string | undefined,
      more = one ?? begun,
      n = 0;
    for (const f of files) {
      setBusy(
        files.length > 1
          ? `${w.snapScreen.several}: ${w.snapScreen.of(++n, files.length)}`
          : w.snapScreen.taking,
      );
      try {
        if (more) {
          more = await snapMore(eye, f, more);
          continue;
        }
        const hand: Hand = {
          what,
          placed: [],
          // One that is only expected is asked about like any other.
          ...(wanted && wanted.length > (chosen ? 0 : 1) && { wanted }),
          ...(sheet && { card: sheet.id }), // the one that the screen names
        };
        const d = await snap(eye, f, {
          project: v.project.id,
          part: id,
          ...(chosen?.length === 1 && { location: chosen[0]! }),
          hand,
        });
        if (three) more = d;
        else first ??= d.id;
      } catch (x) {
        if (isFull(x)) left.push(f);
        else bad.push(x);
      }
    }
    setBusy(undefined);
    setE(bad);
    setHomeless(left);
    g?.resume();
    if (more && !one && photosOf(more).length <= ROW.length) return setBegun(more);
    if (more && bad.length === 0 && left.length === 0) done(more);
    if (first && bad.length === 0 && left.length === 0)
      go(files.length > 1 ? "/photos" : path("photo", first));
  };
  const done = (d: DraftRow): void => (one ? back(path("photo", d.id)) : go(path("photo", d.id)));
  // Nothing is taken by itself before the phone was seen away from where it is wanted.
  const moved = useRef(false);
  const advice = g?.sight.value?.advice;
  useEffect(() => {
    moved.current = false;
  }, [has]);
  useEffect(() => {
    if (!begun) return;
    if (advice === "aside") moved.current = true;
    if (advice === "ready" && moved.current) void shoot();
  }, [advice, begun]);
  const shoot = async (): Promise<void> => {
    if (busy) return;
    if (!cam || !video.current) return say(w.snapScreen.notYet);
    setBusy(w.snapScreen.taking);
    g?.pause();
    try {
      await takeIn([await cam.shoot(video.current)]);
    } catch (x) {
      setE([x]);
      setBusy(undefined);
      g?.resume();
    }
  };
  useEffect(() => {
    const key = (ev: KeyboardEvent): void => {
      if (ev.key === " " && !(ev.target as Element).closest?.("button, input, select, a, label")) {
        ev.preventDefault();
        void shoot();
      }
    };
    addEventListener("keydown", key);
    return () => removeEventListener("keydown", key);
  });
  const toLook = (x: What): void => {
    setWhat(x);
    void remember({ lookAt: { ...memory.value?.lookAt, [id]: x } });
  };
  const sample = route.value.query.has("sample");
  const openSample = async (): Promise<void> =>
    takeIn([await (await fetch("/sample/heads.jpg")).blob()]);
  useEffect(() => {
    if (sample) void openSample();
  }, [sample]);
  return (
    <Sheet
      title={
        one
          ? w.snapScreen.more
          : (tags.length > 0 && w.snapScreen.expected(tagsTitle(tags))) || w.snapScreen.title
      }
      facts={
        one ? w.snapScreen.moreNote : [v.part.name, v.part.drawing].filter(Boolean).join(" · ")
      }
      back={one ? path("photo", one.id) : path("part", id)}
      as="still"
      cell={{
        label: w.snapScreen.cardUsed,
        value: sheet ? sheet.data.sheet : w.snapScreen.uncalibrated,
        to: "/cards",
      }}
      doing={busy ? { what: busy, fraction: 0.4 } : undefined}
      strip={<ShutterRow v={live} take={(f) => void takeIn(f)} shoot={() => void shoot()} />}
    >
      <LiveView v={live} take={(f) => void takeIn(f)} after={one?.document} next={next} />
      <div class="under">
        {!none && <GuideCells g={g} />}
        <div class="snapfoot">
          {cam?.offers.zoom && (
            <label class="field zoom">
              <span>{w.snapScreen.zoom}</span>
              <input
                type="range"
                min={cam.offers.zoom.min}
                max={cam.offers.zoom.max}
                step={cam.offers.zoom.step}
                value={zoom ?? cam.offers.zoom.min}
                onInput={(ev) => {
                  const z = Number(ev.currentTarget.value);
                  setZoom(z);
                  void cam.setZoom(z);
                }}
              />
            </label>
          )}
          {of.length > 0 && !one && !begun && (
            <Select<What>
              label={w.snapScreen.looking}
              value={what}
              set={toLook}
              of={of.map((x) => ({ value: x, text: whatWords(x) }))}
            />
          )}
          {!one && !none && (
            <button
              type="button"
              class="btn"
              aria-pressed={three}
              onClick={() => (begun ? done(begun) : setThree(!three))}
            >
              {begun ? w.snapScreen.enough(has) : w.snapScreen.three}
            </button>
          )}
        </div>
        {homeless.length === 0 && <RoomLeft />}
        {homeless.map((f) => (
          <NoRoom picture={f} again={() => void takeIn(homeless)} />
        ))}
        {e.map((x) => (
          <Trouble e={x} />
        ))}
      </div>
    </Sheet>
  );
}
