// The limit rule: limits as heavy strokes, forbidden sides hatched, the value as a round with its
// U as a bar. Drawn wherever a reading meets a limit.
import { useId } from "preact/hooks";
import type { Check } from "../../bridge/types";
import { w } from "../../words";
import { shown } from "../hooks";
import { verdictShape } from "./shapes";

const W = 358,
  Y = 16;

export function LimitRule({ check, other }: { check: Check; other?: Check | undefined }) {
  const id = useId();
  const v = check.reading.value_mm,
    u = check.U_mm;
  const min = check.limit.min_mm || other?.limit.min_mm,
    max = check.limit.max_mm || other?.limit.max_mm;
  const least = Math.min(v - u, min ?? Infinity, max ?? Infinity),
    most = Math.max(v + u, min ?? -Infinity, max ?? -Infinity);
  const span = Math.max(most - least, 4 * u, 0.05);
  const from = (least + most) / 2 - span * 0.75,
    x = (mm: number): number => ((mm - from) / (span * 1.5)) * W;
  const cls = verdictShape[check.verdict];
  return (
    <svg class="limitrule" viewBox={`0 0 ${W} 46`} aria-hidden="true">
      <defs>
        <pattern
          id={id}
          width="7"
          height="7"
          patternUnits="userSpaceOnUse"
          patternTransform="rotate(45)"
        >
          <path d="M0 0v7" stroke="var(--hatch)" stroke-width="2" />
        </pattern>
      </defs>
      {min ? (
        <rect x="0" y={Y - 7} width={Math.max(0, x(min))} height="14" fill={`url(#${id})`} />
      ) : null}
      {max ? (
        <rect
          x={x(max)}
          y={Y - 7}
          width={Math.max(0, W - x(max))}
          height="14"
          fill={`url(#${id})`}
        />
      ) : null}
      <path d={`M0 ${Y}H${W}`} stroke="var(--ink)" />
      {min ? <Stroke at={x(min)} word={w.min} mm={min} /> : null}
      {max ? <Stroke at={x(max)} word={w.max} mm={max} /> : null}
      <g class={cls} stroke="currentColor" fill="currentColor">
        <path
          d={`M${x(v - u)} ${Y}H${x(v + u)}M${x(v - u)} ${Y - 6}v12M${x(v + u)} ${Y - 6}v12`}
          stroke-width="2.5"
          fill="none"
        />
        <circle cx={x(v)} cy={Y} r="5" />
      </g>
    </svg>
  );
}

function Stroke({ at, word, mm }: { at: number; word: string; mm: number }) {
  const anchor = at < 40 ? "start" : at > W - 40 ? "end" : "middle";
  return (
    <g>
      <path d={`M${at} 3V29`} stroke="var(--ink)" stroke-width="3" />
      <text x={at} y="43" text-anchor={anchor}>
        {word} {shown(mm).number}
      </text>
    </g>
  );
}
