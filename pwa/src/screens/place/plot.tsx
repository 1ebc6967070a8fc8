// Readings over time or over the part, with limit lines, hatching beyond them and U bars: a drifting
// tool or hand shows. Drawn by uPlot; the table beside it is its equal.
import { useEffect } from "preact/hooks";
import type uPlot from "uplot";
import { w } from "../../words";
import { time } from "../dates";
import { shown, useSize } from "../hooks";
import { V } from "../kit/shapes";
import { theme, units } from "../prefs";
import type { PlotPoint } from "./points";

const MM_PER_INCH = 25.4;
const colour = (name: string): string =>
  getComputedStyle(document.documentElement).getPropertyValue(name).trim();

interface Props {
  points: PlotPoint[];
  by: "time" | "order" | "place";
  name: string;
  mark?: string;
}

export const Plot = (p: Props) =>
  p.points.length < 2 ? <p class="note">{w.history.plotNone}</p> : <Drawn {...p} />;

/** Its place is there from its first moment: only then is it measured. */
function Drawn({ points, by, name, mark }: Props) {
  const [ref, size] = useSize<HTMLDivElement>();
  const unit = units.value;
  const ps =
    by === "place"
      ? [...points].sort((a, b) => a.tag.localeCompare(b.tag, "en", { numeric: true }))
      : points;
  const key = JSON.stringify([ps.map((p) => [p.mm, p.tag, p.at]), size.w, theme.value, unit, mark]);
  useEffect(() => {
    const el = ref.current;
    if (!el || !size.w) return;
    let plot: uPlot | undefined,
      gone = false;
    void import("./draw").then(({ draw }) => {
      if (!gone)
        plot = draw(el, ps, {
          by,
          width: size.w,
          mark,
          scale: unit === "in" ? 1 / MM_PER_INCH : 1,
          colour,
          words: { min: w.min, max: w.max },
          figure: (mm) => shown(mm).number,
        });
    });
    return () => {
      gone = true;
      plot?.destroy();
    };
  }, [key]);
  return (
    <>
      <div
        class="plot"
        ref={ref as never}
        role="img"
        aria-label={`${w.history.plotFor(name, unit)}, ${w.history.trend(ps.length)}`}
      />
      <details>
        <summary>{w.history.plotTable}</summary>
        <div class="tablewrap">
          <table>
            <thead>
              <tr>
                <th scope="col">{w.history.tag}</th>
                <th scope="col">
                  {w.history.value}, {unit}
                </th>
                <th scope="col">{w.history.u}</th>
                <th scope="col">{w.history.when}</th>
                <th scope="col" />
              </tr>
            </thead>
            <tbody>
              {ps.map((p) => (
                <tr>
                  <th scope="row">{p.tag}</th>
                  <td>{shown(p.mm).number}</td>
                  <td>± {shown(p.U_mm).number}</td>
                  <td>{time(new Date(p.at).toISOString())}</td>
                  <td>
                    <V v={p.verdict} />
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      </details>
    </>
  );
}
