// A part in the list of parts: its locations as a strip, what is bad, how its sign-off stands.
import type { Counts, Location, Part, SignOffStatus } from "../../bridge/types";
import { path } from "../../router";
import { w } from "../../words";
import { dayLong } from "../dates";
import { handbook } from "../hooks";
import { Shape, Icon, verdictShape } from "../kit/shapes";
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
  const bad = (handbook()?.verdicts ?? [])
    .filter((v) => v !== "within")
    .map((v) => [v, places?.filter((l) => l.whole === v).map((l) => l.tag) ?? []] as const)
    .filter(([, tags]) => tags.length > 0);
  const open = counts.locations - within - (counts.verdicts?.unread ?? 0);
  const sign = part.sign_offs?.at(-1),
    stands = signStands(part, signs);
  const few = (t: string[]): string =>
    t.length > 4 ? `${t.slice(0, 4).join(", ")} ${w.partsScreen.more}` : t.join(", ");
  return (
    <a class="part" href={path("part", part.id)} onClick={() => void remember({ part: part.id })}>
      <span class="top">
        <b>{part.name || part.id.slice(0, 8)}</b>
        <span class="nowrap">
          <b>{within}</b> {w.partsScreen.of(within, counts.locations).replace(/^\d+ /, "")}
        </span>
      </span>
      {places && places.length > 0 && <LocationStrip places={places} />}
      <span class="below">
        {counts.locations === 0 ? w.partsScreen.noLocations : null}
        {bad.map(([v, tags]) => (
          <span key={v}>
            <span class={verdictShape[v]}>
              <Shape s={verdictShape[v]} />
            </span>
            {few(tags)} {w.verdict[v]}
          </span>
        ))}
        {stands?.bad ? (
          <>
            <Icon i="sign" />
            <b class="ink">{w.sign.outdatedShort}</b>
          </>
        ) : (
          bad.every(([v]) => v === "unread") &&
          counts.locations > 0 &&
          (sign
            ? stands && (
                <>
                  <Icon i="sign" />
                  {w.partsScreen.signed(dayLong(sign.at))}
                </>
              )
            : within === counts.locations
              ? w.partsScreen.allWithin
              : counts.stages?.marked === counts.locations
                ? w.partsScreen.markedOnly
                : open > 0 && `${open} ${w.partsScreen.open}`)
        )}
        {part.closed && ` · ${w.partsScreen.closed}`}
      </span>
    </a>
  );
}
