// Draws a plan: halos first, then ink, then values, then tags.
import { verdictShape } from "../kit/shapes";
import type { Plan } from "./dims";
import { look } from "../prefs";

const marks: Record<string, string> = {
  within: "M2 2h3v20H2zM19 2h3v20h-3zM12 6.4a5.6 5.6 0 1 0 .01 0z",
  unread:
    "M2 2h3v20H2zM19 2h3v5h-3zM19 17h3v5h-3zM12 6.4a5.6 5.6 0 1 0 .01 0zM12 8.4a3.6 3.6 0 1 1-.01 0z",
  close: "M10.5 0h3v24h-3zM12 4.2a7.8 7.8 0 0 0 0 15.6z",
  out: "M1 2h3v20H1zM8.2 6.2l2-2 5 5 5-5L23 7l-5 5 5 5-2.800 2.800-5-5-5 5L7.400 17l5-5-5-5z",
};

export function Ink({ plan }: { plan: Plan }) {
  const more = look.value.theme === "outdoor" ? 0.8 : 0;
  return (
    <>
      {plan.outlines.map((o) => (
        <path class={`halo ${o.cls}`} d={o.d} stroke-width={(o.chosen ? 2.5 : 2.2) + 3.5 + more} />
      ))}
      {plan.lines.map((l) => (
        <g class={l.cls}>
          <path class="halo" d={l.d} stroke-width={l.width + 3.5 + more} />
          {l.arrows.map((a) => (
            <path class="halo" stroke-width="3.5" d={`M${a.map((p) => p.join(" ")).join("L")}Z`} />
          ))}
        </g>
      ))}
      {plan.outlines.map((o) => (
        <g class={o.cls}>
          <path class="line" d={o.d} stroke-width={(o.chosen ? 2.5 : 2.2) + more} />
        </g>
      ))}
      {plan.lines.map((l) => (
        <g class={l.cls}>
          <path class="line" d={l.d} stroke-width={l.width + more} />
          {l.arrows.map((a) => (
            <path class="head-fill" d={`M${a.map((p) => p.join(" ")).join("L")}Z`} />
          ))}
        </g>
      ))}
      {plan.values.map((v) => (
        <g class={v.cls}>
          <rect class="plaque" x={v.x - v.w / 2} y={v.y - 11} width={v.w} height="22" />
          <text class="dimtext" x={v.x} y={v.y + 0.5}>
            {v.text}
          </text>
        </g>
      ))}
      {plan.tags.map((t) => (
        <g class={t.verdict ? `ph-${verdictShape[t.verdict]}` : t.chosen ? "ph-pencil" : ""}>
          <rect class="tagbox" x={t.x} y={t.y} width={t.w} height="28" />
          {t.chosen && (
            <rect
              x={t.x - 2.5}
              y={t.y - 2.5}
              width={t.w + 5}
              height="33"
              fill="none"
              stroke="var(--photo-pencil)"
              stroke-width="2.5"
            />
          )}
          {t.verdict && (
            <path
              d={marks[verdictShape[t.verdict]]!}
              fill="#fff"
              transform={`translate(${t.x + 6} ${t.y + 6}) scale(.68)`}
            />
          )}
          <text
            class="tagtext"
            x={t.x + (t.verdict ? 28 : t.w / 2)}
            text-anchor={t.verdict ? "start" : "middle"}
            y={t.y + 14.5}
          >
            {t.text}
          </text>
        </g>
      ))}
    </>
  );
}
