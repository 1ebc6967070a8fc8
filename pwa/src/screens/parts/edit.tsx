// Making and changing projects and parts.
import { useEffect, useState } from "preact/hooks";
import { Refused } from "../../bridge/client";
import type { Draft, Layer, Paper, Units } from "../../bridge/types";
import { setSetting, setting } from "../../data/db";
import { save } from "../../data/entries";
import { go, path } from "../../router";
import { w } from "../../words";
import { handbook, useLive } from "../hooks";
import { Choice, Field, Trouble, Waiting } from "../kit/bits";
import { say } from "../kit/say";
import { Act, Sheet } from "../kit/sheet";
import { remember } from "../prefs";
import { currentProject } from "./current";
import { draftOf, emptySpec, sizesWith, SpecForm, specOf, type SpecDraft } from "./specform";

/** Where letter paper and inches are usual, by the browser's region; the builder may choose otherwise. */
function usual(): { units: Units; paper: Paper } {
  const region = new Intl.Locale(navigator.language).maximize().region ?? "";
  return {
    units: region === "US" ? "in" : "mm",
    paper: ["US", "CA", "MX", "PH", "CL", "CO", "VE"].includes(region) ? "letter" : "a4",
  };
}

export function ProjectEdit({ id }: { id?: string }) {
  const projects = useLive("state.projects", {}).value;
  const old = projects?.find((p) => p.id === id);
  const h = handbook();
  const [d, set] = useState({
    name: "",
    aircraft: "",
    mark: "",
    builder: "",
    ...usual(),
    limits: "",
    authority: "",
  });
  const [e, setE] = useState<unknown>();
  useEffect(() => {
    if (old)
      set({
        name: old.name,
        aircraft: old.aircraft ?? "",
        mark: old.mark ?? "",
        builder: old.builder ?? "",
        units: old.units,
        paper: old.paper,
        limits: old.limit_set,
        authority: old.authority ?? "",
      });
  }, [old?.last_id]);
  if (id && !old)
    return (
      <Sheet
        title={projects ? w.nothingHere : w.project.title}
        back="/parts"
        strip={
          <Act go to="/parts">
            {w.toParts}
          </Act>
        }
      >
        {projects ? <p class="pad">{w.nothingHereDo}</p> : <Waiting />}
      </Sheet>
    );
  const keep = async (): Promise<void> => {
    const data = {
      name: d.name.trim(),
      ...(d.aircraft && { aircraft: d.aircraft.trim() }),
      ...(d.mark && { mark: d.mark.trim() }),
      ...(d.builder && { builder: d.builder.trim() }),
    };
    const drafts: Draft[] = [
      { kind: "project", ...(id && { project: id }), data },
      {
        kind: "settings",
        project: id ?? "@0",
        data: {
          units: d.units,
          paper: d.paper,
          ...(d.limits && { limit_set: d.limits }),
          ...(d.authority && { authority: d.authority.trim() }),
        },
      },
    ];
    try {
      // Who names a builder on this phone is most likely the one who writes with it from now on.
      if (!id && d.builder.trim() && !(await setting("by")))
        await setSetting("by", d.builder.trim());
      const made = await save(drafts);
      await remember({ project: id ?? made[0]!.id, units: d.units });
      say(w.project.saved);
      go(id ? "/settings" : "/start", { replace: true });
    } catch (x) {
      setE(x);
    }
  };
  return (
    <Sheet
      title={id ? w.project.title : w.project.newTitle}
      back="/parts"
      as="column"
      strip={
        <>
          <Act to="/parts">{w.cancel}</Act>
          <Act
            go
            icon="save"
            why={d.name.trim() ? undefined : w.project.needName}
            act={() => void keep()}
          >
            {id ? w.save : w.project.make}
          </Act>
        </>
      }
    >
      <div class="pad stack">
        <Trouble e={e} />
        <Field
          label={w.project.name}
          hint={w.project.nameHint}
          value={d.name}
          set={(name) => set({ ...d, name })}
        />
        <Field
          label={w.project.aircraft}
          hint={w.project.aircraftHint}
          value={d.aircraft}
          set={(aircraft) => set({ ...d, aircraft })}
        />
        <Field label={w.project.mark} value={d.mark} set={(mark) => set({ ...d, mark })} />
        <Field
          label={w.project.builder}
          hint={id ? undefined : w.project.builderHint}
          value={d.builder}
          auto="name"
          set={(builder) => set({ ...d, builder })}
        />
        <Choice<Units>
          label={w.project.units}
          value={d.units}
          set={(units) => set({ ...d, units })}
          of={[
            { value: "mm", text: w.settings.mm },
            { value: "in", text: w.settings.inch },
          ]}
        />
        <Choice<Paper>
          label={w.project.paper}
          value={d.paper}
          set={(paper) => set({ ...d, paper })}
          of={[
            { value: "a4", text: w.cards.a4 },
            { value: "letter", text: w.cards.letter },
          ]}
        />
        <Choice
          rows
          label={w.project.limits}
          value={d.limits || h?.default_set}
          set={(limits) => set({ ...d, limits })}
          of={(h?.sets ?? []).map((s) => ({
            value: s.name,
            text: s.title,
            note: `${s.about}. ${s.source}`,
          }))}
        />
        <Field
          label={w.project.authority}
          value={d.authority}
          set={(authority) => set({ ...d, authority })}
        />
      </div>
    </Sheet>
  );
}

interface LayerDraft {
  name: string;
  material: string;
  mm: string;
}

export function PartEdit({ id }: { id?: string }) {
  const projects = useLive("state.projects", {}).value;
  const view = useLive("state.part", { id: id ?? "" }).value;
  const project = id ? view?.project : currentProject(projects);
  const [d, set] = useState({ name: "", drawing: "" });
  const [layers, setLayers] = useState<LayerDraft[]>([{ name: "", material: "", mm: "" }]);
  const [spec, setSpec] = useState<SpecDraft>(emptySpec);
  const [e, setE] = useState<unknown>();
  const old = view?.part,
    sizes = !!handbook();
  useEffect(() => {
    if (!old) return;
    set({ name: old.name, drawing: old.drawing ?? "" });
    setLayers(
      old.layers?.map((l) => ({
        name: l.name ?? "",
        material: l.material,
        mm: String(l.thickness_mm),
      })) ?? [{ name: "", material: "", mm: "" }],
    );
    setSpec(draftOf(old.spec, old.id));
  }, [old?.last_id, sizes]);
  const back = id ? path("part", id) : "/parts";
  if (!project)
    return (
      <Sheet
        title={w.part.title}
        back={back}
        strip={
          !id &&
          projects && (
            <Act go to="/project/new">
              {w.project.make}
            </Act>
          )
        }
      >
        {!id && projects ? <p class="pad">{w.partsScreen.projectFirst}</p> : <Waiting />}
      </Sheet>
    );
  const keep = async (closed?: boolean): Promise<void> => {
    try {
      const stack: Layer[] = layers
        .filter((l) => l.material.trim() || l.mm.trim())
        .map((l) => ({
          material: l.material.trim(),
          thickness_mm: Number(l.mm.replace(",", ".")) || 0,
          ...(l.name.trim() && { name: l.name.trim() }),
        }));
      const s = await specOf(spec, id ? old?.spec?.limit_set : project.limit_set, id);
      const made = await save([
        {
          kind: "part",
          project: project.id,
          ...(id && { part: id }),
          data: {
            name: d.name.trim(),
            spec: s,
            ...(d.drawing.trim() && { drawing: d.drawing.trim() }),
            ...(stack.length > 0 && { layers: stack }),
            ...(closed !== undefined && { closed }),
            // What the form showed before: the Go side keeps what was changed, and finds a clash.
            ...(old && {
              was: {
                name: old.name,
                ...(old.drawing && { drawing: old.drawing }),
                ...(old.layers && { layers: old.layers }),
                ...(old.spec && { spec: old.spec }),
              },
            }),
          },
        },
      ]);
      await remember({
        part: id ?? made[0]!.id,
        ...(!id && { sizes: sizesWith(made[0]!.id, spec, s) }),
      });
      say(w.part.saved);
      go(id ? back : path("part", made[0]!.id, "layout"), { replace: true });
    } catch (x) {
      if (x instanceof Refused && x.refusal.code === "nothing-changed") go(back, { replace: true });
      else setE(x);
    }
  };
  return (
    <Sheet
      title={id ? w.part.change : w.part.new}
      facts={project.name}
      back={back}
      as="column"
      strip={
        <>
          <Act to={back}>{w.cancel}</Act>
          <Act
            go
            icon="save"
            why={d.name.trim() ? undefined : w.part.needName}
            act={() => void keep()}
          >
            {id ? w.save : w.part.make}
          </Act>
        </>
      }
    >
      <div class="pad stack">
        <Trouble e={e} />
        <Field
          label={w.part.name}
          hint={w.part.nameHint}
          value={d.name}
          set={(name) => set({ ...d, name })}
        />
        <Field
          label={w.part.drawing}
          hint={w.part.drawingHint}
          value={d.drawing}
          set={(drawing) => set({ ...d, drawing })}
        />
      </div>
      <div class="head">
        <h2>{w.part.fastener}</h2>
      </div>
      <div class="pad stack">
        <SpecForm value={spec} set={setSpec} />
      </div>
      <div class="head">
        <h2>{w.part.layers}</h2>
        <button
          class="link"
          type="button"
          onClick={() => setLayers([...layers, { name: "", material: "", mm: "" }])}
        >
          {w.part.addLayer}
        </button>
      </div>
      <div class="pad stack">
        {layers.map((l, i) => {
          const put = (c: Partial<LayerDraft>): void =>
            setLayers(layers.map((x, j) => (j === i ? { ...x, ...c } : x)));
          return (
            <div class="two" key={i}>
              <Field label={w.part.layerName} value={l.name} set={(name) => put({ name })} />
              <Field
                label={w.part.material}
                value={l.material}
                set={(material) => put({ material })}
              />
              <Field
                label={w.part.thickness}
                unit="mm"
                mode="decimal"
                value={l.mm}
                set={(mm) => put({ mm })}
              />
            </div>
          );
        })}
      </div>
      {id && (
        <div class="pad">
          <button class="link" type="button" onClick={() => void keep(!old?.closed)}>
            {old?.closed ? w.part.reopen : w.part.close}
          </button>
        </div>
      )}
    </Sheet>
  );
}
