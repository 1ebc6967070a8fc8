// What stands in the way of saving.
import { path } from "../../router";
import { w } from "../../words";
import type { Assigned } from "./hand";
import type { InWork } from "./usework";

/** why is the first of them in words. */
export function obstacles(
  k: InWork,
  saving: boolean,
): { standing: Assigned | undefined; lessStrict: boolean; why: string | undefined } {
  const standing =
    k.doc!.spec.kind === "hole"
      ? k.assigned.find((a) => a.location?.stage === "set rivet")
      : undefined;
  const lessStrict = k.judged.some((j) =>
    j?.result.checks?.some(
      (c) =>
        c.limit.laxer &&
        !k.view!.part.laxer?.some(
          (l) => l.limit.quantity === c.limit.quantity && l.limit.source === c.limit.source,
        ),
    ),
  );
  const why = saving
    ? w.result.saving
    : k.judged.length === 0
      ? w.result.working
      : !k.placed || k.placed.ask >= 0
        ? w.which.first
        : !k.assigned.some((a, i) => a.loc !== "none" && k.judged[i])
          ? w.result.nothingToSave
          : standing
            ? w.result.rivetThere(standing.tag)
            : lessStrict
              ? w.result.confirmLessStrict
              : undefined;
  return { standing, lessStrict, why };
}

/** Those that another screen takes away, with the way there. */
export function Obstacles({
  part,
  standing,
  lessStrict,
}: {
  part: string;
  standing: Assigned | undefined;
  lessStrict: boolean;
}) {
  return (
    <>
      {standing && (
        <div class="said bad">
          <p>{w.result.rivetThere(standing.tag)}</p>
          <a class="link" href={path("location", standing.loc, "rework")}>
            {w.result.drilledFirst}
          </a>
        </div>
      )}
      {lessStrict && (
        <div class="said">
          <p>{w.result.confirmLessStrict}</p>
          <a class="link" href={path("part", part, "limits")}>
            {w.result.confirmLink}
          </a>
        </div>
      )}
    </>
  );
}
