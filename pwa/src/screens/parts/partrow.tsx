// A part in the list of parts: its locations as a strip, what is bad, how its sign-off stands.
import type { Counts, Location, Part, SignOffStatus } from "../../bridge/types";
import { path } from "../../router";
import { w } from "../../words";
import { dayLong } from "../hooks";
import { Shape, Icon } from "../kit/shapes";
import { LocationStrip } from "../kit/strips";
import { remember } from "../prefs";
import { signStands } from "../signoff";

export function PartRow({
  part,
  counts,
  places,
  signs,
}: {
  part: Part;
  counts: Counts;
  places: Location[] | undefined;
  signs?: Record<string, SignOffStatus> | undefined;
}) {
  const within = counts.verdicts?.within ?? 0;
  const out = places?.filter((l) => l.verdict === "out").map((l) => l.tag) ?? [],
    close = places?.filter((l) => l.verdict === "too close").map((l) => l.tag) ?? [];
  const sign = part.sign_offs?.at(-1),
    outdated = signStands(part, signs)?.bad;
  const few = (t: string[]): string =>
    t.length > 4 ? `${t.slice(0, 4).join(", ")} ${w.partsScreen.more}` : t.join(", ");
  return (
    <a class="part" href={path("part", part.id)} onClick={() => remember({ part: part.id })}>
      <span class="top">
        <b>{part.name || part.id.slice(0, 8)}</b>
        <span>
          <b>{within}</b> {w.partsScreen.of(within, counts.locations).replace(/^\d+ /, "")}
        </span>
      </span>
      {places && places.length > 0 && <LocationStrip places={places} />}
      <span class="below">
        {counts.locations === 0 ? w.partsScreen.noLocations : null}
        {out.length > 0 && (
          <>
            <span class="out">
              <Shape s="out" />
            </span>
            <span>
              {few(out)} {w.verdict.out}
            </span>
          </>
        )}
        {close.length > 0 && (
          <>
            <span class="close">
              <Shape s="close" />
            </span>
            <span>
              {few(close)} {w.verdict["too close"]}
            </span>
          </>
        )}
        {outdated ? (
          <>
            <Icon i="sign" />
            <b class="ink">{w.sign.outdatedShort}</b>
          </>
        ) : (
          out.length + close.length === 0 &&
          counts.locations > 0 &&
          (sign ? (
            <>
              <Icon i="sign" />
              {w.partsScreen.signed(dayLong(sign.at))}
            </>
          ) : within === counts.locations ? (
            w.partsScreen.allWithin
          ) : counts.stages?.marked === counts.locations ? (
            w.partsScreen.markedOnly
          ) : (
            `${counts.locations - within} ${w.partsScreen.open}`
          ))
        )}
        {part.closed && ` · ${w.partsScreen.closed}`}
      </span>
    </a>
  );
}
