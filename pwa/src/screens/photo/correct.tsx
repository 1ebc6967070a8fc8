// Correcting by hand: an outline, its centre, an edge, a missed one, a false one, the scale; under a
// loupe that stands away from the finger. The reading runs along; each change is measured anew; undo
// goes back.
import { useEffect, useRef, useState } from "preact/hooks";
import type { MeasureOptions, PhotoReading, Point } from "../../bridge/types";
import { w } from "../../words";
import { headline, isDiameter } from "../finding";
import { shown, usePicture, wide } from "../hooks";
import { Choice, Field, Num, Trouble } from "../kit/bits";
import { say } from "../kit/say";
import { Act, Sheet } from "../kit/sheet";
import { toScreen } from "./dims";
import {
  dist,
  foot,
  nearPart,
  rightmost,
  ringHandles,
  tools,
  type Handle,
  type Tool,
} from "./handles";
import { Loupe } from "./loupe";
import { Marks } from "./marks";
import { frameRound, PhotoView } from "./photoview";
import { Press } from "./press";
import { marksOf } from "./save";
import type { InWork } from "./usework";

const STEP_MM = 0.02;

export function Correct({ k, at, done }: { k: InWork; at: number | undefined; done: () => void }) {
  const doc = k.doc!;
  const refused = doc.locations.length === 0;
  const [tool, setTool] = useState<Tool>(refused ? "scale" : "outline");
  const [i, setI] = useState(
    at ??
      Math.max(
        0,
        doc.locations.findIndex((l) => !l.ask),
      ),
  );
  const [hs, setHs] = useState<Handle[]>([]);
  const [hold, setHold] = useState<number>(0);
  const [held, setHeld] = useState(false);
  // The reading at handles that were moved and are not measured for good yet.
  const [live, setLive] = useState<ReturnType<typeof headline>>();
  const moved = useRef(0);
  const [past, setPast] = useState<MeasureOptions[]>([]);
  const [len_, setLen] = useState("");
  const [scaleBy, setScaleBy] = useState<"two" | "round">("two");
  const url = usePicture(k.draft?.photo, "original");
  const timer = useRef<ReturnType<typeof setTimeout> | undefined>(undefined);
  const first = useRef(doc);
  const l = doc.locations[i],
    cam = doc.scale?.camera;
  const photo = { w: doc.width || 1000, h: doc.height || 750 };
  const [natural, setNatural] = useState(photo);
  useEffect(() => {
    if (!url || doc.width) return;
    const img = new Image();
    img.onload = () => setNatural({ w: img.naturalWidth, h: img.naturalHeight });
    img.src = url;
  }, [url]);
  const size = doc.width ? photo : natural;
  const pxPerMM = doc.scale ? 1 / doc.scale.mm_per_px : size.w / 120;
  const options = k.draft?.options;

  const start = (t: Tool = tool, n = i, by = scaleBy): void => {
    const x = doc.locations[n];
    setHold(0);
    if (t === "scale")
      return setHs(
        by === "two"
          ? [
              { name: "a", at: [size.w * 0.3, size.h * 0.5] },
              { name: "b", at: [size.w * 0.7, size.h * 0.5] },
            ]
          : [{ name: "centre", at: [size.w / 2, size.h / 2] }],
      );
    if (t === "add")
      return setHs([
        {
          name: "centre",
          at: x ? [x.centre_px[0], x.centre_px[1] + pxPerMM * 12] : [size.w / 2, size.h / 2],
        },
      ]);
    if (t === "remove" || !x) return setHs([]);
    if (t === "edge") {
      const e = x.readings.find((r) => r.edge_px)?.edge_px;
      const [a, b]: [Point, Point] = e
        ? nearPart(x.centre_px, e, pxPerMM * 9)
        : [
            [x.centre_px[0] + 9 * pxPerMM, x.centre_px[1] - 6 * pxPerMM],
            [x.centre_px[0] + 9 * pxPerMM, x.centre_px[1] + 6 * pxPerMM],
          ];
      return setHs([
        { name: "a", at: a },
        { name: "b", at: b },
      ]);
    }
    const own = options?.outlines?.find((o) => dist(o.centre, x.centre_px) < pxPerMM * x.radius_mm);
    const rim: Point =
      own?.rim ??
      (x.outline_px?.length
        ? rightmost(x.outline_px)
        : [x.centre_px[0] + x.radius_mm * pxPerMM, x.centre_px[1]]);
    setHs([
      { name: "rim", at: rim },
      { name: "centre", at: own?.centre ?? x.centre_px },
    ]);
    if (t === "centre") setHold(1);
  };
  useEffect(() => start(), [tool, i, size.w, scaleBy]);
  // Measured anew, the fasteners may come in another order: the one in hand is known by its place.
  const held_ = useRef<Point | undefined>(l?.centre_px);
  useEffect(() => {
    if (l) held_.current = l.centre_px;
  }, [i]);
  useEffect(() => {
    setLive(undefined);
    const c = held_.current;
    if (!c || doc.locations.length === 0) return;
    const n = doc.locations.reduce(
      (a, x, j) => (dist(x.centre_px, c) < dist(doc.locations[a]!.centre_px, c) ? j : a),
      0,
    );
    if (n !== i) setI(n);
    else start(tool, n);
  }, [doc]);

  const run = (o: MeasureOptions): void => {
    settle();
    if (options) setPast((p) => [...p, options]);
    k.setHand({ ...k.hand, marks: marksOf(o) });
    void k.measure({ options: o });
  };
  /** What was to be measured later, or is on its way from a handle on the move, no longer counts. */
  const settle = (): void => {
    clearTimeout(timer.current);
    timer.current = undefined;
    moved.current++;
  };
  /** What is asked with the handles as they stand. */
  const marked = (h: Handle[]): MeasureOptions | undefined => {
    if (!options || !l || (tool !== "outline" && tool !== "centre" && tool !== "edge"))
      return undefined;
    if (tool === "edge")
      return {
        ...options,
        edges: [
          ...(options.edges ?? []).filter(
            (e) => !h.every((x) => dist(foot(x.at, e), x.at) < pxPerMM * 3),
          ),
          [h[0]!.at, h[1]!.at],
        ],
      };
    const c = h.find((x) => x.name === "centre")!.at,
      rim = h.find((x) => x.name === "rim")!.at;
    return {
      ...options,
      outlines: [
        ...(options.outlines ?? []).filter((o) => dist(o.centre, c) > l.radius_mm * pxPerMM),
        { centre: c, rim },
      ],
    };
  };
  const commit = (h: Handle[]): void => {
    const o = marked(h);
    if (o) run(o);
  };
  /** The reading runs along with the handle: this one alone is measured, as often as there is time. */
  const along = (h: Handle[]): void => {
    const o = marked(h);
    if (!o || !l) return;
    const at = moved.current,
      c = h.find((x) => x.name === "centre")?.at ?? l.centre_px,
      near = (p: Point): boolean => dist(p, c) < l.radius_mm * pxPerMM;
    const outlines = (o.outlines ?? []).filter((x) => near(x.centre));
    void k
      .follow({ ...o, only: true, outlines, taps: outlines.length > 0 ? [] : [l.centre_px] })
      .then((d) => {
        const x = d?.locations.find((y) => near(y.centre_px));
        if (at === moved.current && x && !x.ask) setLive(inHand(x.readings, h));
      });
  };
  const later = (h: Handle[]): void => {
    clearTimeout(timer.current);
    timer.current = setTimeout(() => {
      timer.current = undefined;
      commit(h);
    }, 450);
  };
  const move = (n: number, to: Point, pause: boolean): void => {
    const next = hs.map((h, j) =>
      j === n
        ? { ...h, at: to }
        : tool === "centre" && h.name === "rim"
          ? { ...h, at: [h.at[0] + to[0] - hs[n]!.at[0], h.at[1] + to[1] - hs[n]!.at[1]] as Point }
          : h,
    );
    setHs(next);
    along(next);
    if (pause) later(next);
  };
  const nudge = (dx: number, dy: number, times = 1): void => {
    const h = hs[hold];
    if (h)
      move(
        hold,
        [h.at[0] + dx * STEP_MM * pxPerMM * times, h.at[1] + dy * STEP_MM * pxPerMM * times],
        true,
      );
  };
  const addHere = (p: Point): void => {
    if (!options) return;
    run({ ...options, taps: [...(options.taps ?? []), p] });
    say(w.correct.added);
  };
  const removeAt = (n: number): void => {
    const x = doc.locations[n];
    if (!x || !options) return;
    const rest = doc.locations.filter((_, j) => j !== n);
    const hand = options.outlines ?? [];
    run({
      ...options,
      only: true,
      outlines: hand.filter((o) => dist(o.centre, x.centre_px) > pxPerMM * 2),
      taps: rest
        .filter((r) => !hand.some((o) => dist(o.centre, r.centre_px) < pxPerMM * 2))
        .map((r) => r.centre_px),
    });
    say(w.correct.removed(k.assigned[n]?.tag ?? ""));
  };
  const scale = (): void => {
    const mm = Number(len_.replace(",", "."));
    const base = options ?? undefined;
    if (!(mm > 0) || !base) return say(w.correct.noScale);
    const { two_points: _t, round: _r, ...rest } = base;
    run(
      scaleBy === "two"
        ? { ...rest, card: "none", two_points: { a: hs[0]!.at, b: hs[1]!.at, mm } }
        : { ...rest, card: "none", round: { at: hs[0]!.at, diameter_mm: mm } },
    );
  };
  const undo = (): void => {
    const waits = timer.current !== undefined;
    settle();
    setLive(undefined);
    if (waits) return start(); // moved by arrows and not measured yet: back to where they were
    const o = past.at(-1);
    if (!o) return say(w.correct.nothingToUndo);
    setPast(past.slice(0, -1));
    void k.measure({ options: o });
  };
  const finish = (): void => {
    if (timer.current !== undefined) {
      settle();
      commit(hs);
    }
    done();
  };
  const fresh = (): void => {
    if (!options) return;
    const {
      outlines: _o,
      edges: _e,
      taps: _t,
      only: _y,
      two_points: _2,
      round: _r,
      card: _c,
      ...rest
    } = options;
    run(rest);
  };
  const near: Point[] =
    tool === "scale" || tool === "add" || tool === "remove" || !l
      ? doc.locations.map((x) => x.centre_px)
      : [l.centre_px];
  const frame =
    tool === "scale" || near.length === 0
      ? { x: 0, y: 0, w: size.w, h: size.h }
      : frameRound(near, (near.length === 1 ? 8 : 13) * pxPerMM, size);
  /** The reading that the tool in hand changes: of the edge under the handles, else the diameter. */
  const inHand = (rs: PhotoReading[], h: Handle[]): ReturnType<typeof headline> => {
    const a = h[0]?.at,
      off = (r: PhotoReading): number => (r.edge_px && a ? dist(foot(a, r.edge_px), a) : Infinity);
    const edges =
      tool === "edge"
        ? rs.filter((r) => r.quantity === "edge_distance").sort((x, y) => off(x) - off(y))
        : [];
    return headline(undefined, edges.length > 0 ? edges.slice(0, 1) : rs);
  };
  const before =
    l &&
    first.current.locations.find((x) => dist(x.centre_px, l.centre_px) < pxPerMM * l.radius_mm);
  const now = live ?? (l && inHand(l.readings, hs)),
    old = before && inHand(before.readings, hs);
  const value = now && (
    <>
      <Num mm={now.mm} u={now.u} d={isDiameter(now.quantity)} unit />
    </>
  );
  const doing = k.doing && { what: `${w.correct.measuring}.`, share: k.doing.share };
  const tag = k.assigned[i]?.tag ?? "";
  return (
    <Sheet
      title={
        tool === "scale" || tool === "add" || tool === "remove"
          ? w.result.correct
          : w.correct.title(tag)
      }
      facts={w.correct.facts}
      as={wide.value ? "split still tabbed" : "still"}
      doing={doing}
      back={undefined}
      cell={{ label: w.result.zoom, value: w.result.fit }}
      strip={
        <>
          <Act
            act={undo}
            why={
              past.length > 0 || timer.current !== undefined ? undefined : w.correct.nothingToUndo
            }
          >
            {w.undo}
          </Act>
          <Act act={fresh}>{w.correct.fitAgain}</Act>
          <Act go act={finish}>
            {w.done}
          </Act>
        </>
      }
    >
      <PhotoView
        class="result-photo left"
        url={url ?? undefined}
        photo={size}
        frame={frame}
        label={w.correct.title(tag)}
        tap={(p) => {
          if (tool === "add") addHere(p);
          else if (
            tool === "remove" ||
            tool === "outline" ||
            tool === "centre" ||
            tool === "edge"
          ) {
            const n = doc.locations.findIndex(
              (x) => dist(p, x.centre_px) < Math.max(30, x.radius_mm * pxPerMM * 1.3),
            );
            if (n >= 0) {
              if (tool === "remove") removeAt(n);
              else setI(n);
            }
          }
        }}
        grab={(p, v) => {
          if (tool === "add") return false;
          const all = ringHandles(tool, hs, cam);
          const n = all.reduce(
            (a, x, j) => (dist(x.at, p) < dist(all[a]?.at ?? [Infinity, Infinity], p) ? j : a),
            0,
          );
          if (!all[n] || dist(all[n]!.at, p) * v.s > 34) return false;
          if (tool === "outline" && all[n]!.name === "rim")
            setHs(hs.map((h) => (h.name === "rim" ? { ...h, at: all[n]!.at } : h)));
          setHold(hs.findIndex((h) => h.name === all[n]!.name));
          setHeld(true);
          return true;
        }}
        drag={(_, by) => {
          const h = hs[hold];
          if (h) move(hold, [h.at[0] + by[0], h.at[1] + by[1]], false);
        }}
        drop={() => {
          setHeld(false);
          if (tool !== "scale") commit(hs);
        }}
        ink={(v) => <Marks tool={tool} hs={hs} hold={hold} view={v} k={k} i={i} />}
        over={(v, s, img) =>
          held && hs[hold] ? (
            <Loupe
              img={img}
              at={hs[hold]!.at}
              screen={toScreen(v, hs[hold]!.at)}
              size={s}
              view={v}
              draw={(vv) => <Marks tool={tool} hs={hs} hold={hold} view={vv} k={k} i={i} fine />}
            />
          ) : null
        }
      />
      <div class="tabs tight right" role="group" aria-label={w.result.correct}>
        {tools.map((t) => (
          <button type="button" key={t} aria-pressed={tool === t} onClick={() => setTool(t)}>
            {w.correct.tools[t]}
          </button>
        ))}
      </div>
      <div
        class="scrolls right pad stack"
        tabIndex={0}
        role="group"
        aria-label={w.correct.tools[tool]}
        onKeyDown={(e) => {
          const d = (
            {
              ArrowLeft: [-1, 0],
              ArrowRight: [1, 0],
              ArrowUp: [0, -1],
              ArrowDown: [0, 1],
            } as Record<string, [number, number]>
          )[e.key];
          if (d && !(e.target as Element).closest("input, select")) {
            e.preventDefault();
            nudge(d[0], d[1], e.repeat ? 5 : 1);
          }
        }}
      >
        <Trouble e={k.error} />
        {doc.problems.map((p) => (
          <p class="said">
            {p.text}. {p.do}
          </p>
        ))}
        {(tool === "outline" || tool === "centre" || tool === "edge") && l && (
          <div class="check">
            <div class="big">{value}</div>
            <p class="label" role="status">
              {past.length && old
                ? w.correct.was(`${shown(old.mm, old.u).with_u}`)
                : w.result.byHandMark}
            </p>
          </div>
        )}
        <p class="note">
          {
            {
              outline: w.correct.hintOutline,
              centre: w.correct.hintCentre,
              edge: w.correct.hintEdge,
              add: w.correct.hintAdd,
              remove: w.correct.hintRemove,
              scale: scaleBy === "two" ? w.correct.hintScale : w.correct.hintRound,
            }[tool]
          }
        </p>
        {tool === "scale" && (
          <>
            <Choice
              label={w.correct.tools.scale}
              hide
              value={scaleBy}
              set={setScaleBy}
              of={[
                { value: "two", text: w.correct.twoPoints },
                { value: "round", text: w.correct.round },
              ]}
            />
            <Field
              label={scaleBy === "two" ? w.correct.distance : w.correct.diameter}
              unit="mm"
              mode="decimal"
              value={len_}
              set={setLen}
            />
            <button type="button" class="btn wide" onClick={scale}>
              {w.correct.apply}
            </button>
          </>
        )}
        {tool === "remove" && (
          <ul class="rows">
            {doc.locations.map((_, n) => (
              <li key={n}>
                <button type="button" class="row" onClick={() => removeAt(n)}>
                  <span class="tag">{k.assigned[n]?.tag}</span>
                  <span class="what">{w.result.removeThis}</span>
                </button>
              </li>
            ))}
          </ul>
        )}
        {hs.length > 1 && tool !== "centre" && (
          <Choice
            label={w.correct.tools[tool]}
            hide
            value={String(hold)}
            set={(v) => setHold(Number(v))}
            of={hs.map((h, n) => ({ value: String(n), text: w.correct.handle[h.name] }))}
          />
        )}
        {hs.length > 0 && (
          <div class="arrows">
            {(
              [
                ["back", -1, 0, w.correct.left],
                ["up", 0, -1, w.correct.up],
                ["down", 0, 1, w.correct.down],
                ["next", 1, 0, w.correct.right],
              ] as const
            ).map(([icon, dx, dy, name]) => (
              <Press key={icon} icon={icon} name={name} act={(n) => nudge(dx, dy, n)} />
            ))}
          </div>
        )}
        {tool === "add" && (
          <button type="button" class="btn wide" onClick={() => addHere(hs[0]!.at)}>
            {w.correct.tools.add}: {w.correct.addAt.toLowerCase()}
          </button>
        )}
        {hs.length > 0 && <p class="label">{w.correct.move(shown(STEP_MM).value)}</p>}
      </div>
    </Sheet>
  );
}
