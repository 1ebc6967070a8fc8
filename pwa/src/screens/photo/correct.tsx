// Correcting by hand: an outline, its centre, an edge, a missed one, a false one, the scale; under a
// loupe that stands away from the finger. The reading runs along; each change is measured anew; undo
// goes back.
import { useRef } from "preact/hooks";
import type { Point } from "../../bridge/types";
import { w } from "../../words";
import { wide } from "../hooks";
import { Trouble } from "../kit/bits";
import { Act, Sheet } from "../kit/sheet";
import { CorrectPanel } from "./correctpanel";
import { dist, handlesOf, tools } from "./handles";
import { Loupe } from "./loupe";
import { Marks } from "./marks";
import { frameRound, PhotoView } from "./photoview";
import { useCorrection } from "./usecorrection";
import type { InWork } from "./usework";
import { toScreen } from "./view";

export function Correct({ k, at, done }: { k: InWork; at: number | undefined; done: () => void }) {
  const doc = k.doc!;
  const c = useCorrection(k, at);
  const { tool, hs, hold, ring, i, l, size, pxPerMM } = c;
  const near: Point[] =
    tool === "remove" || !l ? doc.locations.map((x) => x.centre_px) : [l.centre_px];
  // With the edge that is in hand in the picture.
  const edge = tool === "edge" && l?.readings.find((r) => r.edge_px)?.value_mm,
    room = Math.max(8, (edge || 0) + 3);
  const frame =
    tool === "scale" || tool === "add" || near.length === 0
      ? { x: 0, y: 0, w: size.w, h: size.h }
      : frameRound(near, (near.length === 1 ? room : 13) * pxPerMM, size);
  const doing = k.doing && { what: `${w.correct.measuring}.`, fraction: k.doing.fraction };
  // A name belongs to a place on the photo: measured anew, they may come in another order.
  const names = useRef(
    doc.locations.map((x, n) => ({ at: x.centre_px, tag: k.assigned[n]?.tag ?? "" })),
  );
  const tagOf = (n: number): string => {
    const x = doc.locations[n];
    const near = x && names.current.find((y) => dist(y.at, x.centre_px) < x.radius_mm * pxPerMM);
    return near?.tag ?? k.assigned[n]?.tag ?? "";
  };
  const tag = tagOf(i);
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
            act={c.undo}
            why={c.past.length > 0 || c.waits ? undefined : w.correct.nothingToUndo}
          >
            {w.undo}
          </Act>
          <Act act={c.fresh}>{w.correct.fitAgain}</Act>
          <Act
            go
            act={() => {
              c.finish();
              done();
            }}
          >
            {w.done}
          </Act>
        </>
      }
    >
      <PhotoView
        class="result-photo left"
        url={c.url ?? undefined}
        photo={size}
        frame={frame}
        label={w.correct.title(tag)}
        tap={(p) => {
          if (tool === "add") c.addHere(p);
          else if (tool === "centre" && doc.spec.mark) c.tapAgain(p);
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
              if (tool === "remove") c.removeAt(n);
              else c.setI(n);
            }
          }
        }}
        grab={(p, v) => {
          if (tool === "add") return false;
          const all = handlesOf(tool, hs);
          const n = all.reduce(
            (a, x, j) => (dist(x.at, p) < dist(all[a]?.at ?? [Infinity, Infinity], p) ? j : a),
            0,
          );
          if (!all[n] || dist(all[n]!.at, p) * v.s > 34) return false;
          c.setHold(hs.findIndex((h) => h.name === all[n]!.name));
          c.setHeld(true);
          return true;
        }}
        drag={(_, by) => {
          if (hs[hold]) c.move(hold, by[0], by[1], false);
        }}
        drop={() => {
          c.setHeld(false);
          if (tool !== "scale" && c.off) c.commit(hs);
        }}
        ink={(v) => <Marks tool={tool} hs={hs} hold={hold} ring={ring} view={v} k={k} i={i} />}
        over={(v, s, img) =>
          c.held && hs[hold] ? (
            <Loupe
              img={img}
              at={hs[hold]!.at}
              screen={toScreen(v, hs[hold]!.at)}
              size={s}
              view={v}
              draw={(vv) => (
                <Marks tool={tool} hs={hs} hold={hold} ring={ring} view={vv} k={k} i={i} fine />
              )}
            />
          ) : null
        }
      />
      <div class="tabs tight right" role="group" aria-label={w.result.correct}>
        {tools.map((t) => (
          <button type="button" key={t} aria-pressed={tool === t} onClick={() => c.setTool(t)}>
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
            c.nudge(d[0], d[1], e.repeat ? 5 : 1);
          }
        }}
      >
        <Trouble e={k.error} />
        <CorrectPanel k={k} c={c} tagOf={tagOf} />
      </div>
    </Sheet>
  );
}
