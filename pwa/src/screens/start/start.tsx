// First run: pair, name the project, card, part, snap; or the sample part.
import { useEffect } from "preact/hooks";
import { isSample } from "../../data/db";
import { go } from "../../router";
import { hasJoined } from "../../sync/join";
import { syncState } from "../../sync/sync";
import { w } from "../../words";
import { useLive } from "../hooks";
import { Empty, Step, Waiting } from "../kit/bits";
import { Icon } from "../kit/shapes";
import { Act, Sheet } from "../kit/sheet";
import { currentProject } from "../parts/current";
import { identity } from "../role";

export function StartScreen() {
  const me = identity.value,
    inspector = me?.ready && me.role === "inspector";
  // An inspector has nothing to set up.
  useEffect(() => {
    if (inspector) go("/inspect", { replace: true });
  }, [inspector]);
  const projects = useLive("state.projects", {});
  const project = currentProject(projects.value);
  const parts = useLive("state.parts", { id: project?.id ?? "" });
  const part = parts.value?.[0]?.part;
  const card = (project?.cards?.length ?? 0) > 0;
  const s = w.start;
  const steps: { done: boolean; text: string; note: string; to: string }[] = [
    {
      done: !!me?.ready,
      text: s.pair,
      note: me?.ready ? s.pairDone(me.name) : s.pairNote,
      to: "/pair",
    },
    {
      done: !!project,
      text: s.project,
      note: project?.name || s.projectNote,
      to: project ? `/project/${project.id}` : "/project/new",
    },
    { done: card, text: s.card, note: card ? s.cardDone : s.cardNote, to: "/cards" },
    {
      done: !!part,
      text: s.part,
      note: part?.name || s.partNote,
      to: part ? `/part/${part.id}` : "/part/new",
    },
    { done: false, text: s.snap, note: s.snapNote, to: part ? `/part/${part.id}/snap` : "/snap" },
  ];
  const now = steps.findIndex((x) => !x.done);
  const unread = (a: { value?: unknown; error?: unknown }): boolean => !a.value && !a.error;
  // Joined on the laptop's own page: the record is on its way. Or it is here and not read yet: then
  // nobody is told to do again what was done.
  if (
    inspector ||
    (me?.ready && (unread(projects) || (project && unread(parts)))) ||
    (!me?.ready &&
      !isSample() &&
      hasJoined() &&
      (syncState.value.is === "idle" || syncState.value.is === "working"))
  )
    return (
      <Sheet title={s.title}>
        <Waiting />
      </Sheet>
    );
  return (
    <Sheet
      title={project?.name || s.title}
      facts={part ? s.factsReady : s.facts}
      as="column"
      back={project ? "/parts" : undefined}
      strip={
        <>
          {!isSample() && <Act to="/sample">{s.sample}</Act>}
          <Act go to={steps[now]!.to}>
            {steps[now]!.text}
          </Act>
        </>
      }
    >
      <Empty title={now === 4 ? s.headReady : s.head}>
        <p>{now === 4 ? s.subReady : s.sub}</p>
      </Empty>
      <ol class="steps">
        {steps.map((x, i) => (
          <Step
            n={i + 1}
            key={i}
            now={i === now}
            done={x.done}
            locked={i > now && i > 0 && !steps[0]!.done}
          >
            <a class="row" href={x.to}>
              <span class="what">
                <b>{x.text}</b>
                <small>{x.note}</small>
              </span>
              {x.done ? <small>{s.stepDone}</small> : <Icon i="next" />}
            </a>
          </Step>
        ))}
      </ol>
      {!isSample() && <div class="pad note">{s.sampleNote}</div>}
    </Sheet>
  );
}
