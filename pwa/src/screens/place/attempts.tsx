// The attempts of a location side by side.
import type { LocationView } from "../../bridge/types";
import { pieceOf } from "../../data/pieces";
import { w } from "../../words";
import { deciding, findings, headline, isDiameter, ofKind, standing, worst } from "../finding";
import { day, useLive } from "../hooks";
import { Num } from "../kit/bits";
import { V } from "../kit/shapes";
import { shotOf } from "../photo/drawn";
import { CropView } from "./crop";

export function Attempts({ v }: { v: LocationView }) {
  const shots = useLive("state.concerning", { id: v.part.id }).value ?? [];
  const all = ofKind(v.entries, "finding");
  if (all.length === 0) return null;
  return (
    <div class="crops">
      {all.slice(-6).map((f) => {
        const shot = shotOf(shots, f.data.shot),
          a = v.location.attempts.find((x) => x.findings?.includes(f.id)),
          n = a?.n;
        // Hand readings after the attempt's last photo have their say in its verdict.
        const later = a?.findings?.slice(a.findings.indexOf(f.id) + 1) ?? [],
          gauged =
            later.length > 0 &&
            later.every((x) => v.entries.some((e) => e.id === x && e.kind === "gauge"));
        const d = headline(f.data.result.checks, f.data.readings),
          hole = f.data.spec.kind === "hole";
        const verdict = worst([deciding(f.data.result.checks)?.verdict, f.data.answers_verdict]);
        const now =
            gauged && f.id === v.location.finding
              ? standing(v.location, findings(v.entries))
              : undefined,
          left = now && headline(now.checks, now.readings);
        return (
          <figure key={f.id}>
            <figcaption class="label">
              {hole ? w.history.hole : (n ?? "")} · {day(f.at)}
            </figcaption>
            <CropView
              hash={shot?.photo}
              crop={f.data.crop}
              width={shot?.width_px}
              from={pieceOf(f.data)}
              alt={`${v.location.tag}, ${verdict || w.notJudged}, ${day(f.at)}`}
            />
            {d && <Read d={d} />}
            <V v={verdict} />
            {gauged && (
              <>
                <small class="block">{w.history.gauged}</small>
                {left && <Read d={left} />}
                <V v={a?.verdict} />
              </>
            )}
          </figure>
        );
      })}
    </div>
  );
}

/** A reading and what it is of. */
const Read = ({ d }: { d: NonNullable<ReturnType<typeof headline>> }) => (
  <>
    <Num mm={d.mm} u={d.u} d={isDiameter(d.quantity)} />{" "}
    <small>{w.quantityShort[d.quantity]}</small>
    <br />
  </>
);
