// The parts of a project: where it is bad, at a look.
import { useEffect, useState } from "preact/hooks";
import type { Counts, Location, Part, SignOffStatus } from "../../bridge/types";
import { book } from "../../data/book";
import { changed } from "../../data/changes";
import { isSample } from "../../data/db";
import { drafts } from "../../data/photos";
import { diskChanged } from "../../data/changes";
import { path } from "../../router";
import { w } from "../../words";
import { dayLong, useLive, wide } from "../hooks";
import { Empty, Trouble, Waiting } from "../kit/bits";
import { Shape, verdictShape } from "../kit/shapes";
import { Act, Sheet } from "../kit/sheet";
import { LocationStrip } from "../kit/strips";
import { Icon } from "../kit/shapes";
import { remember } from "../prefs";
import { useRole } from "../role";
import { MainStrip } from "../mainstrip";
import { signStands } from "../signoff";
import { currentProject } from "./current";

export function PartsScreen() {
  const projects = useLive("state.projects", {});
  const project = currentProject(projects.value);
  const parts = useLive("state.parts", { id: project?.id ?? "" });
  const places = usePlaces(parts.value?.map((p) => p.part.id) ?? []);
  const waitingDrafts = useDrafts();
  const role = useRole();
  const total = (f: (c: Counts) => number | undefined): number =>
    (parts.value ?? []).reduce((a, p) => a + (f(p.counts) ?? 0), 0);
  if (!projects.value)
    return (
      <Sheet title={w.parts} strip={<MainStrip here="parts" />}>
        {projects.error ? <Trouble e={projects.error} /> : <Waiting />}
      </Sheet>
    );
  if (!project && role === "inspector")
    return (
      <Sheet title={w.parts} strip={<MainStrip here="parts" />}>
        <Empty title={w.inspect.none}>
          <p>{w.inspect.noneNote}</p>
        </Empty>
      </Sheet>
    );
  if (!project) {
    return (
      <Sheet
        title={w.parts}
        facts={w.partsScreen.noProject}
        strip={
          <Act go to="/project/new">
            {w.project.make}
          </Act>
        }
      >
        <Empty title={w.partsScreen.noProject}>
          <p>{w.start.projectNote.charAt(0).toUpperCase() + w.start.projectNote.slice(1)}.</p>
          <p>
            <a class="link" href="/start">
              {w.settings.start}
            </a>
          </p>
        </Empty>
      </Sheet>
    );
  }
  const within = total((c) => c.verdicts?.within),
    close = total((c) => c.verdicts?.["too close"]),
    out = total((c) => c.verdicts?.out);
  const open = total((c) => c.locations) - within - close - out;
  const shown = (parts.value ?? []).filter((p) => !p.part.closed),
    closed = (parts.value ?? []).filter((p) => p.part.closed);
  const counts = (
    <div class="cells">
      {(
        [
          ["within", within],
          ["too close", close],
          ["out", out],
        ] as const
      ).map(([v, n]) => (
        <div>
          <span class={`label ${verdictShape[v]}`}>
            <Shape s={verdictShape[v]} />
            {w.verdict[v]}
          </span>
          <b>{n}</b>
        </div>
      ))}
      <div>
        <span class="label">
          <Shape s="hole" />
          {w.partsScreen.open}
        </span>
        <b>{open}</b>
      </div>
    </div>
  );
  return (
    <Sheet
      title={project.name}
      facts={[project.aircraft, project.mark].filter(Boolean).join(", ") || w.parts}
      as={wide.value ? "split" : ""}
      more={[
        { label: w.settings.forInspector, value: <a href="/inspect">{total((c) => c.awaits)}</a> },
      ]}
      strip={<MainStrip here="parts" />}
    >
      <section class="right">
        {counts}
        {isSample() && <SampleBar first={shown.find((p) => p.counts.locations)?.part.id} />}
        {waitingDrafts > 0 && (
          <p class="pad">
            <a class="link" href="/photos">
              {w.partsScreen.drafts(waitingDrafts)}
            </a>
          </p>
        )}
        {wide.value && (
          <nav class="pad">
            <ul>
              <SideLinks />
            </ul>
          </nav>
        )}
      </section>
      <section class="left">
        <div class="head">
          <h2>{w.parts}</h2>
          {role !== "inspector" && (
            <a class="link" href="/part/new">
              {w.partsScreen.new}
            </a>
          )}
        </div>
        {parts.value && parts.value.length === 0 && (
          <Empty title={w.partsScreen.none}>
            {role !== "inspector" && <p>{w.partsScreen.noneDo}</p>}
          </Empty>
        )}
        <ul class="rows">
          {[...shown, ...closed].map((p) => (
            <li key={p.part.id}>
              <PartRow
                part={p.part}
                counts={p.counts}
                places={places.get(p.part.id)?.places}
                signs={places.get(p.part.id)?.signs}
              />
            </li>
          ))}
        </ul>
        {!wide.value && (
          <ul class="pad">
            <SideLinks />
          </ul>
        )}
      </section>
    </Sheet>
  );
}

function SideLinks() {
  return (
    <>
      <li>
        <a class="link" href="/inspect">
          {useRole() === "inspector" ? w.inspect.title : w.inspect.titleBuilder}
        </a>
      </li>
      <li>
        <a class="link" href="/exports">
          {w.exports.title}
        </a>
      </li>
      <li>
        <a class="link" href="/settings">
          {w.settings.title}
        </a>
      </li>
    </>
  );
}

/** first is the part that the sample photo shows; without it only the way out is offered. */
export function SampleBar({ first }: { first: string | undefined }) {
  return (
    <div class="said">
      <p>{w.sample.note}</p>
      {first && (
        <p>
          <a class="link" href={`${path("part", first, "snap")}?sample`}>
            {w.sample.photo}
          </a>
        </p>
      )}
      <p>
        <a class="link" href="/sample/leave">
          {w.sample.leave}
        </a>
      </p>
    </div>
  );
}

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

interface Inside {
  places: Location[];
  signs: Record<string, SignOffStatus> | undefined;
}

/** The locations of several parts, and how their sign-offs stand. */
function usePlaces(ids: string[]): Map<string, Inside> {
  const [map, set] = useState(new Map<string, Inside>());
  const key = ids.join(" ") + changed.value;
  useEffect(() => {
    let gone = false;
    void Promise.all(
      ids.map(async (id) => {
        const v = await book.call("state.part", { id });
        return [
          id,
          {
            places: v.places.map((p) => p.location).filter((l) => !l.out),
            signs: v.part.sign_offs?.length
              ? await book.call("state.sign-offs", { id })
              : undefined,
          },
        ] as const;
      }),
    ).then(
      (all) => {
        if (!gone) set(new Map(all));
      },
      () => undefined,
    );
    return () => {
      gone = true;
    };
  }, [key]);
  return map;
}

export function useDrafts(): number {
  const [n, set] = useState(0);
  const k = diskChanged.value;
  useEffect(() => {
    void drafts().then((d) => set(d.length));
  }, [k]);
  return n;
}
