// What the live view says: the card outlined, one instruction, a level, a distance scale, four cells.
import { useEffect, useRef, useState } from "preact/hooks";
import type { Document, NextView, Point, Sight } from "../../bridge/types";
import type { Guidance } from "../../capture/guide";
import { w } from "../../words";
import { useSize } from "../hooks";
import { look } from "../prefs";

const far = (s: Sight): string => `${Math.round(s.distance_mm)}`;

type Wanted = Pick<NextView, "from" | "tilt_deg"> | undefined;

function words(s: Sight | undefined, next: Wanted): string {
  if (!s) return w.snapScreen.starting;
  const a = w.snapScreen.advice,
    mm = Math.round(Math.abs(s.nearer_mm) / 5) * 5;
  switch (s.advice) {
    case "far":
      return a.far(mm);
    case "near":
      return a.near(mm);
    case "tilted":
      return a.tilted(
        Math.abs(s.nearer[0]) > Math.abs(s.nearer[1])
          ? s.nearer[0] > 0
            ? w.snapScreen.sides.right
            : w.snapScreen.sides.left
          : s.nearer[1] > 0
            ? w.snapScreen.sides.near
            : w.snapScreen.sides.far,
      );
    case "aside":
      return next
        ? a.aside(w.snapScreen.go[next.from], next.tilt_deg, Math.round(s.tilt_deg))
        : a.ready;
    default:
      return a[s.advice];
  }
}

/** One instruction, at most every two seconds another one for those who hear it. */
export function Instruction({ g, next }: { g: Guidance; next: Wanted }) {
  const text = words(g.sight.value, next);
  const [heard, setHeard] = useState("");
  const last = useRef(0);
  useEffect(() => {
    const t = setTimeout(
      () => {
        last.current = Date.now();
        setHeard(text);
      },
      Math.max(0, last.current + 2000 - Date.now()),
    );
    return () => clearTimeout(t);
  }, [text]);
  return (
    <>
      <p class="words" aria-hidden="true">
        {text}
      </p>
      <p class="unseen" role="status">
        {heard}
      </p>
    </>
  );
}

export function GuideCells({ g }: { g: Guidance | undefined }) {
  const s = g?.sight.value,
    c = w.snapScreen;
  const card = !s || s.advice === "no-card" ? c.notSeen : s.advice === "cut-off" ? c.cut : c.seen;
  const cell = (name: string, value: string, worst: boolean) => (
    <div class={worst ? "worst" : ""}>
      <small>{name}</small>
      <b>{value}</b>
    </div>
  );
  const seen = !!s && s.seen > 0;
  return (
    <div class="guides">
      {cell(c.cells.card, card, s?.advice === "no-card" || s?.advice === "cut-off")}
      {cell(
        c.cells.tilt,
        seen ? `${Math.round(s.tilt_deg)}° ${s.advice === "tilted" ? "" : c.good}` : "–",
        s?.advice === "tilted",
      )}
      {cell(
        c.cells.distance,
        seen ? (s.advice === "far" ? c.far : s.advice === "near" ? c.near : c.good) : "–",
        s?.advice === "far" || s?.advice === "near",
      )}
      {cell(
        c.cells.light,
        seen ? (s.advice === "dark" ? c.dark : s.advice === "shaking" ? c.shaking : c.good) : "–",
        s?.advice === "dark" || s?.advice === "shaking",
      )}
    </div>
  );
}

/**
 * Where the card is wanted in the live view's frame; undefined where the photo before was held the
 * other way. The frame shows the photo's width, and may be cut at top and bottom.
 */
function ghost(doc: Document | undefined, f: { w: number; h: number }): Point[] | undefined {
  if (!doc?.next || !doc.width || !doc.height || !f.w || doc.width > doc.height !== f.w > f.h)
    return undefined;
  const k = f.w / doc.width,
    h = doc.height;
  return doc.next.card_px.map(([u, v]) => [u * k, (v - h / 2) * k + f.h / 2]);
}

/** The card as it is seen, the level and the distance scale, over the video. */
export function Aim({ g, after }: { g: Guidance; after: Document | undefined }) {
  const [ref, size] = useSize<HTMLDivElement>();
  const s = g.sight.value,
    f = g.frame.value;
  // The video covers its place: cut at two sides.
  const k = f.w ? Math.max(size.w / f.w, size.h / f.h) : 0,
    ox = (size.w - f.w * k) / 2,
    oy = (size.h - f.h * k) / 2;
  const path = (ps: Point[]): string =>
    `M${ps.map(([x, y]) => `${ox + x * k} ${oy + y * k}`).join("L")}Z`;
  const wanted = ghost(after, f);
  const left = look.value.hand === "left";
  const bx = left ? size.w - 52 : 52,
    by = size.h - 52,
    t = s && s.seen > 0 ? Math.min(1, s.tilt_deg / 30) : 0;
  const scale = { x: left ? 0 : size.w - 64, from: 60, to: 240 };
  const sy = (mm: number): number =>
    14 +
    ((Math.min(scale.to, Math.max(scale.from, mm)) - scale.from) / (scale.to - scale.from)) *
      (size.h - 28);
  return (
    <div ref={ref as never} class="aim" aria-hidden="true">
      {size.w > 0 && (
        <svg viewBox={`0 0 ${size.w} ${size.h}`}>
          {wanted && (
            <g class="ph-pencil">
              <path class="line ghost" d={path(wanted)} />
            </g>
          )}
          {s && s.outline.length > 0 && (
            <g class="ph-pencil">
              <path class="halo" stroke-width="7" d={path(s.outline)} />
              <path class="line" stroke-width="3" d={path(s.outline)} />
              {s.rings.map((r) => (
                <circle
                  class="line"
                  cx={ox + r.at[0] * k}
                  cy={oy + r.at[1] * k}
                  r="8"
                  stroke-width={r.seen ? 3 : 1}
                  stroke-dasharray={r.seen ? undefined : "3 3"}
                />
              ))}
            </g>
          )}
          {size.w >= 360 && (
            <>
              <circle cx={bx} cy={by} r="38" fill="#fffffff2" stroke="#0a151d" stroke-width="1.5" />
              <circle cx={bx} cy={by} r="15" fill="none" stroke="#0a151d" stroke-dasharray="4 3" />
              <path
                d={`M${bx - 38} ${by}h76M${bx} ${by - 38}v76`}
                stroke="#0a151d"
                stroke-width=".7"
              />
              {s && s.seen > 0 && (
                <circle
                  cx={bx + s.nearer[0] * t * 30}
                  cy={by + s.nearer[1] * t * 30}
                  r="8"
                  fill="var(--photo-pencil)"
                />
              )}
              <rect x={scale.x} y="0" width="64" height={size.h} fill="#fffffff2" />
              <path
                d={`M${scale.x + 8} ${sy(90)}V${sy(150)}`}
                stroke="var(--photo-pencil)"
                stroke-width="7"
              />
              {[60, 120, 180, 240].map((n) => (
                <g>
                  <path d={`M${scale.x} ${sy(n)}h14`} stroke="#0a151d" stroke-width="1.5" />
                  <text x={scale.x + 22} y={sy(n) + 5} font-size="14" fill="#0a151d">
                    {n}
                  </text>
                </g>
              ))}
              {s && s.seen > 0 && (
                <g>
                  <rect
                    x={scale.x + 10}
                    y={sy(s.distance_mm) - 11}
                    width="50"
                    height="22"
                    fill="#0a151d"
                  />
                  <text
                    x={scale.x + 35}
                    y={sy(s.distance_mm) + 5}
                    font-size="14"
                    font-weight="700"
                    text-anchor="middle"
                    fill="#fff"
                  >
                    {far(s)}
                  </text>
                </g>
              )}
            </>
          )}
        </svg>
      )}
    </div>
  );
}
