// Draws a drawing as it was planned: halos first, then ink, then values, then tags.
import type { Drawing, DrawingInk } from "../../bridge/types";
import { verdictShape } from "../kit/shapes";

const marks: Record<string, string> = {
  within: "M2 2h3v20H2zM19 2h3v20h-3zM12 6.4a5.6 5.6 0 1 0 .01 0z",
  unread:
    "M2 2h3v20H2zM19 2h3v5h-3zM19 17h3v5h-3zM12 6.4a5.6 5.6 0 1 0 .01 0zM12 8.4a3.6 3.6 0 1 1-.01 0z",
  close: "M10.5 0h3v24h-3zM12 4.2a7.8 7.8 0 0 0 0 15.6z",
  out: "M1 2h3v20H1zM8.2 6.2l2-2 5 5 5-5L23 7l-5 5 5 5-2.800 2.800-5-5-5 5L7.400 17l5-5-5-5z",
};
/** Side of the square that a verdict's shape fills, and of the field that it is drawn on. */
const SHAPE = 18,
  FIELD = 24;

const inkClass = (ink: DrawingInk | undefined): string =>
  ink ? `ph-${ink === "pencil" ? ink : verdictShape[ink]}` : "";

function path(points: number[], closed: boolean | undefined): string {
  let d = "M";
  for (let i = 0; i < points.length; i += 2)
    d += `${i === 0 ? "" : "L"}${points[i]} ${points[i + 1]}`;
  return closed ? `${d}Z` : d;
}

const Box = ({ b, by = 0, ...how }: { b: Drawing["tags"][0]["box"]; by?: number } & Look) => (
  <rect
    x={b[0] - by}
    y={b[1] - by}
    width={b[2] - b[0] + 2 * by}
    height={b[3] - b[1] + 2 * by}
    {...how}
  />
);
interface Look {
  class: string;
}

export function Ink({ d }: { d: Drawing }) {
  const paths = d.lines.map((l) => path(l.points, l.closed));
  return (
    <>
      {d.lines.map((l, i) => (
        <path class="halo" d={paths[i]} stroke-width={l.halo} />
      ))}
      {d.lines.map((l, i) => (
        <path
          class={`${l.width ? "line" : "head-fill"} ${inkClass(l.ink)}`}
          d={paths[i]}
          stroke-width={l.width}
          stroke-dasharray={l.dashed ? "6 4" : undefined}
        />
      ))}
      {d.values.map((v) => (
        <g class={inkClass(v.ink)}>
          <Box b={v.box} class="plaque" />
          <text
            class="dimtext"
            x={(v.box[0] + v.box[2]) / 2}
            y={(v.box[1] + v.box[3]) / 2}
            font-size={d.text_size}
          >
            {v.text}
          </text>
        </g>
      ))}
      {d.tags.map((t) => (
        <g class={inkClass(t.ink)}>
          {t.chosen && <Box b={t.box} by={5} class="tagring" />}
          <Box b={t.box} by={1.5} class="plaque" />
          <Box b={t.box} class="tagbox" />
          {t.verdict && (
            <path
              d={marks[verdictShape[t.verdict]]!}
              fill="#fff"
              transform={`translate(${t.shape_x! - SHAPE / 2} ${(t.box[1] + t.box[3] - SHAPE) / 2}) scale(${SHAPE / FIELD})`}
            />
          )}
          <text class="tagtext" x={t.text_x} y={(t.box[1] + t.box[3]) / 2} font-size={d.text_size}>
            {t.text}
          </text>
        </g>
      ))}
    </>
  );
}
