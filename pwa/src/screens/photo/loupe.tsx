// The loupe: three times larger, in the corner farthest from the finger, with a line to the handle.
import type { ComponentChildren } from "preact";
import { useEffect, useRef } from "preact/hooks";
import type { Point } from "../../bridge/types";
import { w } from "../../words";
import type { View } from "./view";

const R = 84,
  TIMES = 3;

export function Loupe({
  img,
  at,
  screen,
  size,
  view,
  draw,
}: {
  img: HTMLImageElement | null;
  at: Point;
  screen: Point;
  size: { w: number; h: number };
  view: View;
  draw: (v: View) => ComponentChildren;
}) {
  const ref = useRef<HTMLCanvasElement>(null);
  const x = screen[0] > size.w / 2 ? 12 : size.w - 2 * R - 12,
    y = screen[1] > size.h / 2 ? 12 : size.h - 2 * R - 12;
  const s = view.s * TIMES;
  useEffect(() => {
    const c = ref.current,
      g = c?.getContext("2d");
    if (!c || !g || !img) return;
    const k = Math.min(2, devicePixelRatio || 1);
    c.width = c.height = 2 * R * k;
    const half = R / s;
    g.imageSmoothingEnabled = s < 2;
    g.drawImage(
      img,
      at[0] + 0.5 - half,
      at[1] + 0.5 - half,
      2 * half,
      2 * half,
      0,
      0,
      c.width,
      c.height,
    );
  }, [img, at[0], at[1], s]);
  const inner: View = { s, x: R - (at[0] + 0.5) * s, y: R - (at[1] + 0.5) * s };
  const mid: Point = [x + R, y + R],
    d = Math.hypot(screen[0] - mid[0], screen[1] - mid[1]) || 1;
  return (
    <>
      <canvas
        ref={ref}
        aria-label={w.correct.loupe}
        style={{
          left: `${x}px`,
          top: `${y}px`,
          width: `${2 * R}px`,
          height: `${2 * R}px`,
          borderRadius: "50%",
        }}
      />
      <svg aria-hidden="true" viewBox={`0 0 ${size.w} ${size.h}`}>
        <defs>
          <clipPath id="loupe">
            <circle cx={mid[0]} cy={mid[1]} r={R - 2} />
          </clipPath>
        </defs>
        <g clip-path="url(#loupe)">
          <g transform={`translate(${x} ${y})`}>{draw(inner)}</g>
          <path
            d={`M${x} ${y + R}h${2 * R}M${x + R} ${y}v${2 * R}`}
            stroke="var(--photo-ink)"
            stroke-width=".8"
          />
        </g>
        <circle cx={mid[0]} cy={mid[1]} r={R - 1} fill="none" stroke="#fff" stroke-width="6" />
        <circle cx={mid[0]} cy={mid[1]} r={R - 1} fill="none" stroke="#0a151d" stroke-width="2.5" />
        <path
          d={`M${mid[0] + ((screen[0] - mid[0]) / d) * R} ${mid[1] + ((screen[1] - mid[1]) / d) * R}L${screen[0]} ${screen[1]}`}
          stroke="#fff"
          stroke-width="4"
        />
        <path
          d={`M${mid[0] + ((screen[0] - mid[0]) / d) * R} ${mid[1] + ((screen[1] - mid[1]) / d) * R}L${screen[0]} ${screen[1]}`}
          stroke="#0a151d"
          stroke-width="1.5"
        />
      </svg>
    </>
  );
}
