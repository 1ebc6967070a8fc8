// The shape of a part: what stands, what led to it, a new measurement, spacers for the next frame.
import type { PartShape } from "../../bridge/types";
import { path } from "../../router";
import { bw } from "../../words/bench";
import { time } from "../dates";
import { useLive } from "../hooks";
import { V } from "../kit/shapes";
import { Act, Sheet } from "../kit/sheet";
import { w } from "../../words";
import { useRole } from "../role";
import { measurePlain, ResultLines } from "./shaperesult";
import { ShapeForm } from "./shapeform";
import { SpacerForm } from "./spacers";
import { useKept } from "./form";
import { Opening } from "../kit/opening";

export function ShapeScreen({ id }: { id: string }) {
  const view = useLive("state.part", { id });
  const v = view.value;
  const builder = useRole() !== "inspector";
  const [form, setForm] = useKept<"" | "measure" | "spacers">(`shape ${id}`, "");
  const l = bw.shape;
  if (!v) return <Opening title={l.title} back={path("part", id)} error={view.error} />;
  if (form === "measure") return <ShapeForm v={v} done={() => setForm("")} />;
  if (form === "spacers") return <SpacerForm v={v} done={() => setForm("")} />;
  const all = v.part.shapes ?? [];
  const earlier = all.filter((s) => !s.stands).reverse();
  return (
    <Sheet
      title={l.title}
      facts={v.part.name}
      back={path("part", id)}
      as="column"
      strip={
        builder ? (
          <>
            <Act act={() => setForm("spacers")}>{l.spacers}</Act>
            <Act go icon="pen" act={() => setForm("measure")}>
              {l.new}
            </Act>
          </>
        ) : (
          <Act go to={path("part", id)}>
            {w.part.title}
          </Act>
        )
      }
    >
      {all.length === 0 && (
        <div class="pad">
          <h2 class="message">{l.none}</h2>
          <p>{l.noneDo}</p>
        </div>
      )}
      {all.length > 0 && (
        <div class="head">
          <h2>{l.stands}</h2>
        </div>
      )}
      {all
        .filter((s) => s.stands)
        .map((s) => (
          <OneShape s={s} key={s.entry} />
        ))}
      {all
        .filter((s) => s.stands)
        .map((n) => (
          <Trend key={n.entry} of={all.filter((s) => s.name === n.name && s.kind === n.kind)} />
        ))}
      {earlier.length > 0 && (
        <div class="head">
          <h2>{l.earlier}</h2>
        </div>
      )}
      {earlier.map((s) => (
        <OneShape s={s} key={s.entry} />
      ))}
      <p class="pad note">{bw.caution}</p>
    </Sheet>
  );
}

/** Measurements of one name over time, each with its U, and the target with its tolerance. */
function Trend({ of }: { of: PartShape[] }) {
  const l = bw.shape;
  if (of.length < 2) return null;
  const target = of.filter((s) => s.target_mm !== undefined).at(-1),
    t = target?.target_mm ?? 0,
    tol = target?.tolerance_mm ?? 0;
  const ends = of.flatMap((s) => [s.result.value - s.result.U, s.result.value + s.result.U]);
  if (target) ends.push(t - tol, t + tol);
  const lo = Math.min(...ends),
    span = Math.max(...ends) - lo || 1;
  const W = 340,
    H = 120,
    x = (i: number): number => 20 + ((W - 40) * i) / (of.length - 1),
    y = (mm: number): number => 10 + (H - 40) * (1 - (mm - lo) / span);
  const unit = of[0]!.result.unit;
  // The first and the last label stand inwards: about their points they would be cut off.
  const label = (i: number): { x: number; style?: { textAnchor: string } } =>
    i === 0
      ? { x: 4, style: { textAnchor: "start" } }
      : i === of.length - 1
        ? { x: W - 4, style: { textAnchor: "end" } }
        : { x: x(i) };
  return (
    <figure class="pad">
      <figcaption class="label">
        {l.trend}: {of[0]!.name}
      </figcaption>
      <svg viewBox={`0 0 ${W} ${H}`} role="img" aria-label={l.trendOf(of.length, of[0]!.name)}>
        {target && (
          <>
            <path class="d-hidden" d={`M10 ${y(t - tol)}H${W - 10}M10 ${y(t + tol)}H${W - 10}`} />
            <path class="d-centre" d={`M10 ${y(t)}H${W - 10}`} />
          </>
        )}
        {of.map((s, i) => (
          <g key={s.entry}>
            <path
              class="d-thin"
              d={`M${x(i)} ${y(s.result.value - s.result.U)}V${y(s.result.value + s.result.U)}`}
            />
            <circle class="d-thin" cx={x(i)} cy={y(s.result.value)} r={s.stands ? 6 : 3} />
            <text class="d-text" {...label(i)} y={H - 8}>
              {measurePlain(s.result.value, unit)}
            </text>
          </g>
        ))}
      </svg>
    </figure>
  );
}

function OneShape({ s }: { s: PartShape }) {
  const l = bw.shape;
  return (
    <div class="pad stack">
      <span class="at">
        <b>{s.name}</b>{" "}
        {s.result.verdict ? (
          <V v={s.result.verdict} />
        ) : (
          <span class="note">{l.states[s.state]}</span>
        )}
      </span>
      <ResultLines r={s.result} />
      <small>
        {l.states[s.state]}, {time(s.at)}
        {s.target_mm !== undefined &&
          ` · ${l.target.toLowerCase()} ${measurePlain(s.target_mm, s.result.unit)} ± ${measurePlain(s.tolerance_mm ?? 0, s.result.unit)}, ${s.source}`}
      </small>
    </div>
  );
}
