// A part to scale, with dimension lines. Places and what is dimensioned are Go's; here it is only
// turned into pixels.
import type { Sketch, XY } from "../../bridge/types";
import { shown, useSize } from "../hooks";
import { bw } from "../../words/bench";

const classes = {
  outline: "d-out",
  behind: "d-hidden",
  bend: "d-bend",
  sight: "d-sight",
  centre: "d-centre",
  band: "d-band",
} as const;
/** Of a dimension's ranks from the part, and how wide its text may be. */
const FIRST = 24,
  STEP = 26,
  TEXT = 52,
  ARROW = 9;
/** The least scale, so that a narrow leg is seen: px for its shorter side. */
const SHORT = 48;

export function SketchView({ s, label }: { s: Sketch; label: string }) {
  const [ref, { w: width }] = useSize<HTMLDivElement>();
  const dims = s.dims ?? [];
  const ranks = (side: string): number =>
    Math.max(0, ...dims.filter((d) => d.side === side).map((d) => d.rank + 1));
  const upright = (side: string): number =>
    ranks(side) ? FIRST + (ranks(side) - 1) * (STEP + TEXT) + TEXT + 4 : 14;
  const level = (side: string): number =>
    ranks(side) ? FIRST + (ranks(side) - 1) * STEP + 16 : 14;
  const pad = {
    l: Math.max(upright("left"), ranks("above") || ranks("below") ? TEXT + 6 : 14),
    r: upright("right"),
    t: level("above"),
    b: level("below"),
  };
  const dx = Math.max(1, s.max[0] - s.min[0]),
    dy = Math.max(1, s.max[1] - s.min[1]);
  const fit = (Math.max(width, 200) - pad.l - pad.r) / dx;
  const k = Math.min(Math.max(fit, SHORT / Math.min(dx, dy)), 12, 460 / Math.min(dx, dy));
  const W = pad.l + pad.r + k * dx,
    H = pad.t + pad.b + k * dy;
  const at = ([x, y]: XY): XY => [pad.l + k * (x - s.min[0]), pad.t + k * (y - s.min[1])];
  const d = (pts: XY[], closed?: boolean): string =>
    "M" +
    pts
      .map((p) =>
        at(p)
          .map((v) => v.toFixed(1))
          .join(" "),
      )
      .join("L") +
    (closed ? "Z" : "");
  const holes = s.holes ?? [];
  const gap = holes.length > 1 ? k * Math.hypot(...minus(holes[0]!.at, holes[1]!.at)) : 99;
  const over = W > width + 1 && width > 0;
  return (
    <div
      class="sketch"
      ref={ref as never}
      {...(over && { tabIndex: 0, role: "region", "aria-label": bw.scrolls })}
    >
      <svg width={W} height={H} viewBox={`0 0 ${W} ${H}`} role="img" aria-label={label}>
        {(s.lines ?? []).map((l) => (
          <path class={classes[l.role]} d={d(l.points, l.closed)} />
        ))}
        {holes.map((h) => {
          const [x, y] = at(h.at),
            r = Math.max(2.5, (k * h.d_mm) / 2);
          return (
            <>
              <path
                class="d-thin"
                d={`M${x - r - 5} ${y}h${2 * r + 10}M${x} ${y - r - 5}v${2 * r + 10}`}
              />
              <circle class="d-hole" cx={x} cy={y} r={r} />
              {gap > 30 && h.tag && (
                <text class="d-text" x={x + r + 3} y={y - r - 6} style={{ textAnchor: "start" }}>
                  {h.tag}
                </text>
              )}
            </>
          );
        })}
        {dims.map((x) => (
          <Dimension
            from={at(x.from)}
            to={at(x.to)}
            side={x.side}
            off={FIRST + x.rank * (x.side === "left" || x.side === "right" ? STEP + TEXT : STEP)}
            box={[pad.l, pad.t, W - pad.r, H - pad.b]}
            text={
              shown(
                Math.abs(
                  x.side === "left" || x.side === "right"
                    ? x.to[1] - x.from[1]
                    : x.to[0] - x.from[0],
                ),
              ).number
            }
          />
        ))}
      </svg>
    </div>
  );
}

const minus = (a: XY, b: XY): XY => [a[0] - b[0], a[1] - b[1]];

function Dimension(p: {
  from: XY;
  to: XY;
  side: "above" | "below" | "left" | "right";
  off: number;
  box: [number, number, number, number];
  text: string;
}) {
  const level = p.side === "above" || p.side === "below";
  const [a, b] = level
    ? [Math.min(p.from[0], p.to[0]), Math.max(p.from[0], p.to[0])]
    : [Math.min(p.from[1], p.to[1]), Math.max(p.from[1], p.to[1])];
  if (b - a < 0.5) return null;
  const line =
    p.side === "above"
      ? p.box[1] - p.off
      : p.side === "below"
        ? p.box[3] + p.off
        : p.side === "left"
          ? p.box[0] - p.off
          : p.box[2] + p.off;
  // Along the line a point is (t), across it (n); level lines run in x.
  const xy = (t: number, n: number): string => (level ? `${t} ${n}` : `${n} ${t}`);
  const wide = 7.6 * p.text.length + 6;
  const room = b - a;
  const inside = room >= 2 * ARROW + 8;
  const fits = level ? room >= wide + 2 * ARROW + 4 : false;
  const first = p.from[0] <= p.box[0] + 1 || p.to[0] <= p.box[0] + 1;
  const tail = 16;
  const [ext, arrow] = [
    [
      [p.from, a === (level ? p.from[0] : p.from[1])],
      [p.to, true],
    ].map(([q]) => {
      const [x, y] = q as XY;
      const t = level ? x : y,
        n = level ? y : x;
      const sign = line > n ? 1 : -1;
      return `M${xy(t, n + sign * 3)}L${xy(t, line + sign * 4)}`;
    }),
    (t: number, dir: number) =>
      `M${xy(t, line)}L${xy(t + dir * ARROW, line - 2)}L${xy(t + dir * ARROW, line + 2)}Z`,
  ] as const;
  const tx =
    fits || !level ? (a + b) / 2 : first ? a - tail - wide / 2 + 6 : b + tail + wide / 2 - 6;
  return (
    <g aria-hidden="true">
      <path
        class="d-thin"
        d={`${ext.join("")}M${xy(inside ? a : a - tail, line)}L${xy(inside ? b : b + tail, line)}`}
      />
      <path class="d-arrow" d={arrow(a, inside ? 1 : -1) + arrow(b, inside ? -1 : 1)} />
      {level ? (
        <>
          {fits && (
            <rect class="d-plaque" x={tx - wide / 2} y={line - 9} width={wide} height="18" />
          )}
          <text class="d-text" x={tx} y={line}>
            {p.text}
          </text>
        </>
      ) : (
        <text
          class="d-text"
          x={p.side === "left" ? line - 6 : line + 6}
          y={tx}
          style={{ textAnchor: p.side === "left" ? "end" : "start" }}
        >
          {p.text}
        </text>
      )}
    </g>
  );
}
