// Settings of this phone, and the ways to devices, cards, project, exports.
import { useEffect, useState } from "preact/hooks";
import type { Fault } from "../../bridge/types";
import { book, damaged } from "../../data/book";
import { isSample, setSetting, setting } from "../../data/db";
import { offline } from "../../sw/updates";
import { w } from "../../words";
import { useLive } from "../hooks";
import { Choice, Field, Tick } from "../kit/bits";
import { Icon } from "../kit/shapes";
import { Sheet } from "../kit/sheet";
import { MainStrip } from "../mainstrip";
import { look, memory, remember, setLook, type Look } from "../prefs";
import { identity, isBuilders, useRole } from "../role";
import { currentProject } from "../parts/current";

export function SettingsScreen() {
  const s = w.settings,
    l = look.value;
  const projects = useLive("state.projects", {}).value,
    project = currentProject(projects);
  const [by, setBy] = useState(""),
    [faults, setFaults] = useState<Fault[]>();
  useEffect(() => {
    void setting("by").then((x) => setBy(x ?? ""));
    void book.call("record.faults", {}).then(setFaults, () => undefined);
  }, []);
  const role = useRole();
  const all: [string, string, string][] = [
    ["/cards", s.card, project?.cards?.length ? "" : w.cards.none],
    ["/prove", s.prove, s.proveNote],
    [project ? `/project/${project.id}` : "/project/new", s.project, project?.name ?? ""],
    ["/devices", s.devices, identity.value?.name ?? ""],
    ["/unsent", s.storage, ""],
    ["/exports", s.reports, ""],
    ["/start", s.start, ""],
    isSample() ? ["/sample/leave", w.sample.leave, w.sample.note] : ["/sample", s.sampleOn, ""],
  ];
  const links = all.filter(
    ([to]) =>
      role !== "inspector" ||
      !(isBuilders(to.slice(1).split("/")) || to === "/start" || to === "/devices"),
  );
  return (
    <Sheet title={s.title} facts={s.facts} back="/parts" as="column" strip={<MainStrip here="" />}>
      <div class="head">
        <h2>{s.display}</h2>
      </div>
      <div class="pad stack">
        <Choice<Look["theme"]>
          label={s.theme}
          value={l.theme}
          set={(theme) => setLook({ theme })}
          of={(["auto", "light", "dark", "outdoor"] as const).map((t) => ({
            value: t,
            text: s.themes[t],
          }))}
        />
        <Choice<Look["hand"]>
          label={s.hand}
          value={l.hand}
          set={(hand) => setLook({ hand })}
          of={[
            { value: "left", text: s.left },
            { value: "right", text: s.right },
          ]}
        />
        <Tick checked={l.large} set={(large) => setLook({ large })}>
          {s.large}
        </Tick>
        <Choice
          label={s.units}
          value={memory.value?.units ?? "mm"}
          set={(units) => void remember({ units })}
          of={[
            { value: "mm", text: s.mm },
            { value: "in", text: s.inch },
          ]}
        />
        {memory.value?.units === "in" && (
          <Tick
            checked={memory.value.fractions ?? false}
            set={(fractions) => void remember({ fractions })}
          >
            {s.fractions}
          </Tick>
        )}
      </div>
      <div class="head">
        <h2>{s.record}</h2>
      </div>
      <div class="pad stack">
        <Field
          label={s.by}
          hint={s.byHint}
          value={by}
          auto="name"
          set={(x) => {
            setBy(x);
            if (x.trim()) void setSetting("by", x.trim());
          }}
        />
      </div>
      {(projects?.length ?? 0) > 1 && (
        <div class="pad">
          <Choice
            rows
            label={w.partsScreen.projects}
            value={project?.id}
            set={(p) => void remember({ project: p })}
            of={projects!.map((p) => ({ value: p.id, text: p.name }))}
          />
        </div>
      )}
      <ul class="rows">
        {links.map(([to, text, note]) => (
          <li key={to}>
            <a class="row" href={to}>
              <span class="what">
                {text}
                {note && <small>{note}</small>}
              </span>
              <Icon i="next" />
            </a>
          </li>
        ))}
      </ul>
      <div class="pad stack note">
        <p>
          {s.version}: {s.offline[offline.value]}.
        </p>
        <p>
          {s.laptop}: {s.address(location.host)}
        </p>
        <p>
          {s.faults}:{" "}
          {faults === undefined
            ? "–"
            : faults.length === 0
              ? s.noFaults
              : faults.map((f) => f.text).join("; ")}
        </p>
        {damaged.length > 0 && <p class="caution">{s.damaged(damaged.length)}</p>}
      </div>
    </Sheet>
  );
}
