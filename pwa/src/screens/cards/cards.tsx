// Printed sheets of scale cards: print one, choose which is in use.
import { useState } from "preact/hooks";
import type { Paper, Project } from "../../bridge/types";
import { handOver } from "../../capture/files";
import { makeHere } from "../../data/papers";
import { w } from "../../words";
import { asTyped } from "../finding";
import { day } from "../dates";
import { useLive } from "../hooks";
import { Steps } from "../kit/bits";
import { say } from "../kit/say";
import { Act, Sheet } from "../kit/sheet";
import { currentProject } from "../parts/current";
import { calibration } from "../photo/hand";
import { remember } from "../prefs";
import { identity } from "../role";

const cardsOf = (p: Project | undefined): boolean => (p?.cards?.length ?? 0) > 0;

export function CardsScreen() {
  const projects = useLive("state.projects", {}).value;
  const project = currentProject(projects);
  const c = w.cards;
  const card = calibration(project),
    used = card?.id;
  const proven = project?.studies?.some(
    (s) => s.phone === identity.value?.device && s.sheet === card?.data.sheet,
  );
  const parts = useLive("state.parts", { id: project?.id ?? "" }).value;
  const next = cardsOf(project) && !!parts;
  const cards = [...(project?.cards ?? [])].reverse();
  return (
    <Sheet
      title={c.title}
      facts={c.facts}
      back="/settings"
      as="column"
      strip={
        <>
          <PrintAct paper={project?.paper ?? "a4"} />
          <Act go={!next} to="/cards/new">
            {next ? c.newShort : c.new}
          </Act>
          {next && (
            <Act go to={parts.length === 0 ? "/part/new" : "/snap"}>
              {parts.length === 0 ? w.start.part : w.snap}
            </Act>
          )}
        </>
      }
    >
      <Steps of={c.steps} />
      {projects && cards.length === 0 && (
        <p class="pad">
          <b>{c.none}</b>
        </p>
      )}
      <ul class="rows">
        {cards.map((k) => (
          <li key={k.id}>
            <div class="row" aria-current={k.id === used ? "true" : undefined}>
              <span class="what">
                <b>{c.sheetNo(k.sheet)}</b> {k.id === used && <small>{c.inUse}</small>}
                <small>
                  {c.measured(day(k.at))} · {c.across} <Mm of={k.check_across_mm} />,{" "}
                  {c.along.toLowerCase()} <Mm of={k.check_along_mm} />, {c.thickness.toLowerCase()}{" "}
                  <Mm of={k.thickness_mm} />
                </small>
              </span>
              {k.id !== used && (
                <button class="link" type="button" onClick={() => void remember({ card: k.id })}>
                  {c.use}
                </button>
              )}
            </div>
          </li>
        ))}
      </ul>
      {cards.length > 0 && (
        <p class="pad">
          {!proven && `${w.result.unproven} `}
          <a class="link" href="/prove">
            {c.prove}
          </a>
        </p>
      )}
    </Sheet>
  );
}

/** As it is typed here, in millimetres for everybody: the page's lines are. */
const Mm = ({ of }: { of: number }) => <span class="nowrap">{asTyped(of)}</span>;

function PrintAct({ paper }: { paper: Paper }) {
  const [busy, setBusy] = useState(false);
  const get = async (): Promise<void> => {
    setBusy(true);
    try {
      const made = await makeHere({ kind: "cards.pdf", paper }, { reach: false });
      await handOver(`bucktail-card-${paper}.pdf`, made.file);
    } catch (e) {
      say(e instanceof Error ? e.message : String(e));
    } finally {
      setBusy(false);
    }
  };
  return (
    <Act
      act={() => {
        if (!busy) void get();
      }}
    >
      {busy ? w.exports.making(w.cards.title) : w.cards.print}
    </Act>
  );
}
