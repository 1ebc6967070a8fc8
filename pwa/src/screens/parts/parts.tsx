// The parts of a project: where it is bad, at a look.
import type { Counts, Whole } from "../../bridge/types";
import { isSample } from "../../data/db";
import { path } from "../../router";
import { w } from "../../words";
import { useLive, wide } from "../hooks";
import { Empty, Trouble, Waiting } from "../kit/bits";
import { Shape, verdictShape } from "../kit/shapes";
import { Act, Sheet } from "../kit/sheet";
import { MainStrip } from "../mainstrip";
import { useRole } from "../role";
import { currentProject } from "./current";
import { PartRow } from "./partrow";
import { usePlaces, useDrafts } from "./places";

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
  const counts = (["within", "unread", "too close", "out"] as const).map(
    (v) => [v, total((c) => c.verdicts?.[v])] as const,
  );
  const open = counts.reduce(
    (a, [, n]) => a - n,
    total((c) => c.locations),
  );
  const shown = (parts.value ?? []).filter((p) => !p.part.closed),
    closed = (parts.value ?? []).filter((p) => p.part.closed);
  return (
    <Sheet
      title={project.name}
      facts={[project.aircraft, project.mark].filter(Boolean).join(", ") || w.parts}
      as={wide.value ? "split" : ""}
      more={[
        { label: w.settings.forInspector, value: <a href="/inspect">{total((c) => c.awaits)}</a> },
      ]}
      strip={
        <MainStrip
          here="parts"
          next={
            parts.value?.length === 0 ? { to: "/part/new", text: w.partsScreen.new } : undefined
          }
        />
      }
    >
      <section class="right">
        <Totals counts={counts} open={open} />
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

function Totals({ counts, open }: { counts: (readonly [Whole, number])[]; open: number }) {
  return (
    <div class="cells">
      {counts.map(([v, n]) => (
        <div key={v}>
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
