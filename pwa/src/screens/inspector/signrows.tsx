// How the sign-off of each part stands, under what waits for a decision.
import { path } from "../../router";
import { w } from "../../words";
import { Icon } from "../kit/shapes";
import { signStands } from "../signoff";
import type { PartStand } from "./awaiting";

/** The parts, each with what waits and how its sign-off stands. */
export function SignRows({ parts }: { parts: PartStand[] }) {
  if (parts.length === 0) return null;
  return (
    <>
      <div class="head gap">
        <h2>{w.inspect.parts}</h2>
      </div>
      <ul class="rows">
        {parts.map((p) => {
          const st = signStands(p.part, p.signs);
          return (
            <li key={p.part.id}>
              <a class="row" href={path("part", p.part.id, "sign")}>
                <span class="what">
                  {p.part.name}
                  <small>
                    {[
                      p.counts.awaits ? w.inspect.waits(p.counts.awaits) : "",
                      p.counts.confirmed ? w.inspect.confirmed(p.counts.confirmed) : "",
                      st?.text,
                    ]
                      .filter(Boolean)
                      .join(" · ")}
                  </small>
                  {st?.bad && (
                    <small class="ink">
                      <b>{st.bad}</b>
                    </small>
                  )}
                </span>
                <Icon i="next" />
              </a>
            </li>
          );
        })}
      </ul>
    </>
  );
}
