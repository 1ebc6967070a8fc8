// What is drawn of a correction: the outline or line in hand, its handles, the others faintly.
import type { Point } from "../../bridge/types";
import { handlesOf, type Handle, type Tool } from "./handles";
import type { InWork } from "./usework";
import { toScreen, type View } from "./view";

export function Marks({
  tool,
  hs,
  hold,
  ring,
  view,
  k,
  i,
  fine,
}: {
  tool: Tool;
  hs: Handle[];
  hold: number;
  /** The outline in hand. */
  ring: Point[];
  view: View;
  k: InWork;
  i: number;
  fine?: boolean;
}) {
  const s = (p: Point): Point => toScreen(view, p);
  const line = (ps: Point[], close: boolean): string =>
    `M${ps
      .map((p) =>
        s(p)
          .map((x) => x.toFixed(1))
          .join(" "),
      )
      .join("L")}${close ? "Z" : ""}`;
  const c = hs.find((h) => h.name === "centre"),
    a = hs.find((h) => h.name === "a"),
    b = hs.find((h) => h.name === "b");
  const d =
    c && hs.length > 1 && ring.length ? line(ring, true) : a && b ? line([a.at, b.at], false) : "";
  const others = k.doc!.locations.filter(
    (_, n) => n !== i || tool === "remove" || tool === "add" || tool === "scale",
  );
  return (
    <g class="ph-pencil">
      {!fine &&
        others.map((l) => (
          <path class="line" d={line(l.outline_px ?? [], true)} stroke-width="1.5" opacity=".8" />
        ))}
      {d && (
        <>
          <path class="halo" d={d} stroke-width={fine ? 3 : 6} />
          <path class="line" d={d} stroke-width={fine ? 1.2 : 2.5} />
        </>
      )}
      {c && <Cross at={s(c.at)} />}
      {!fine &&
        handlesOf(tool, hs)
          .filter((h) => h.name !== "centre")
          .map((h) => {
            const [x, y] = s(h.at);
            return (
              <rect
                x={x - 8}
                y={y - 8}
                width="16"
                height="16"
                fill="#fff"
                stroke="var(--photo-ink)"
                stroke-width={hs[hold]?.name === h.name ? 4 : 2.5}
              />
            );
          })}
    </g>
  );
}

const Cross = ({ at: [x, y] }: { at: Point }) => (
  <>
    <path class="halo" d={`M${x - 12} ${y}h24M${x} ${y - 12}v24`} stroke-width="5" />
    <path class="line" d={`M${x - 12} ${y}h24M${x} ${y - 12}v24`} stroke-width="1.5" />
  </>
);
