// A part to scale, with dimension lines. Places and what is dimensioned are Go's; here it is only
// turned into pixels.
import type { Sketch, XY } from "../../bridge/types";
import { shown, useSize } from "../hooks";
import { bw } from "../../words/bench";
import { ARROW, rowsOf, TAIL, wide, type Dim, type Row } from "./sketchrows";

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
  TEXT = 52;
/** The least scale, so that a narrow leg is seen: px for its shorter side. */
const SHORT = 48;

export function SketchView({ s, label }: { s: Sketch; label: string }) {
  const [ref, { w: width }] = useSize<HTMLDivElement>();
  const dims = s.dims ?? [];
  const sides = (side: string): Sketch["dims"] & {} => dims.filter((d) => d.side === side);
  const upright = (side: string): number =>
    sides(side).length
      ? FIRST + Math.max(...sides(side).map((d) => d.rank)) * (STEP + TEXT) + TEXT + 4
      : 14;
  const left = Math.max(
      upright("left"),
      sides("above").length || sides("below").length ? TEXT + 6 : 14,
    ),
    right = upright("right");
  const dx = Math.max(1, s.max[0] - s.min[0]),
    dy = Math.max(1, s.max[1] - s.min[1]);
  const fit = (Math.max(width, 200) - left - right) / dx;
  const k = Math.min(Math.max(fit, SHORT / Math.min(dx, dy)), 12, 460 / Math.min(dx, dy));
  // Along their lines the dimensions are known now, and which of them would lie on one another.
  const lines = dims.map((x): Dim => {
    const n = x.side === "left" || x.side === "right" ? 1 : 0,
      px = [x.from, x.to].map((p) => (n === 0 ? left : 0) + k * (p[n] - s.min[n]));
    return {
      side: x.side,
      rank: x.rank,
      a: Math.min(...px),
      b: Math.max(...px),
      text: shown(Math.abs(x.to[n] - x.from[n])).number,
      first: Math.min(...px) <= left + 1,
    };
  });
  const rows = rowsOf(lines);
  const level = (side: string): number => {
    const of = rows.filter((_, i) => lines[i]!.side === side);
    return of.length ? FIRST + Math.max(...of.map((r) => r.rank)) * STEP + 16 : 14;
  };
  const pad = { l: left, r: right, t: level("above"), b: level("below") };
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
        {dims.map((x, i) => (
          <Dimension
            from={at(x.from)}
            to={at(x.to)}
            side={x.side}
            row={rows[i]!}
            shift={x.side === "left" || x.side === "right" ? pad.t : 0}
            box={[pad.l, pad.t, W - pad.r, H - pad.b]}
            text={lines[i]!.text}
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
  side: Dim["side"];
  row: Row;
  /** From where its row's places count, px. */
  shift: number;
  box: [number, number, number, number];
  text: string;
}) {
  const level = p.side === "above" || p.side === "below";
  const [a, b] = level
    ? [Math.min(p.from[0], p.to[0]), Math.max(p.from[0], p.to[0])]
    : [Math.min(p.from[1], p.to[1]), Math.max(p.from[1], p.to[1])];
  if (b - a < 0.5) return null;
  const off = FIRST + p.row.rank * (level ? STEP : STEP + TEXT);
  const line =
    p.side === "above"
      ? p.box[1] - off
      : p.side === "below"
        ? p.box[3] + off
        : p.side === "left"
          ? p.box[0] - off
          : p.box[2] + off;
  // Along the line a point is (t), across it (n); level lines run in x.
  const xy = (t: number, n: number): string => (level ? `${t} ${n}` : `${n} ${t}`);
  const { inside, fits } = p.row,
    tx = p.row.text + p.shift,
    w = wide(p.text);
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
  return (
    <g aria-hidden="true">
      <path
        class="d-thin"
        d={`${ext.join("")}M${xy(inside ? a : a - TAIL, line)}L${xy(inside ? b : b + TAIL, line)}`}
      />
      <path class="d-arrow" d={arrow(a, inside ? 1 : -1) + arrow(b, inside ? -1 : 1)} />
      {level ? (
        <>
          {fits && <rect class="d-plaque" x={tx - w / 2} y={line - 9} width={w} height="18" />}
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
