// A printed sheet is measured: its check lines and its thickness.
import { useEffect, useState } from "preact/hooks";
import type { CardData, Identity, Paper } from "../../bridge/types";
import { book } from "../../data/book";
import { back, go } from "../../router";
import { w } from "../../words";
import { useLive } from "../hooks";
import { Choice, Field, HowSure, Trouble, Waiting } from "../kit/bits";
import { identityOf, InstrumentFields, isGiven, useInstruments } from "../kit/instrument";
import { say } from "../kit/say";
import { Act, Sheet } from "../kit/sheet";
import { currentProject } from "../parts/current";
import { saveAndRemember, units } from "../prefs";

/** What was typed as millimetres, or as inches that say so, with a point or a comma; NaN for anything else. */
const num = (s: string): number => {
  const [, n, unit = "mm"] = /^\s*(\d*[.,]?\d+|\d+[.,])\s*(mm|in|")?\s*$/i.exec(s) ?? [];
  return Number(n?.replace(",", ".") ?? NaN) * (/mm/i.test(unit) ? 1 : 25.4);
};

export function CardNew() {
  const projects = useLive("state.projects", {}).value;
  const project = currentProject(projects);
  const c = w.cards;
  const [d, set] = useState({
    sheet: "",
    across: "",
    along: "",
    thick: "",
    u: "0.1",
    tu: "0.02",
    by: c.calipers,
    paper: "a4" as Paper,
  });
  const [identity, setIdentity] = useState<Identity>({});
  const known = useInstruments(project?.id);
  const [e, setE] = useState<unknown>();
  useEffect(() => {
    if (project)
      set((x) => ({
        ...x,
        paper: project.paper,
        sheet: x.sheet || String((project.cards?.length ?? 0) + 1),
      }));
  }, [project?.id]);
  useEffect(() => {
    const before = known.find((k) => k.name === d.by);
    setIdentity(before ? identityOf(before) : {});
  }, [known, d.by]);
  if (!project)
    return (
      <Sheet
        title={c.newShort}
        back="/cards"
        strip={
          projects && (
            <Act go to="/project/new">
              {w.project.make}
            </Act>
          )
        }
      >
        {projects ? <p class="pad">{w.cards.projectFirst}</p> : <Waiting />}
      </Sheet>
    );
  const type = (x: Partial<typeof d>): void => {
    setE(undefined);
    set({ ...d, ...x });
  };
  const lengths = [
    ["across", c.across, "149.8"],
    ["along", c.along, "150.1"],
    ["u", c.u, "0.1"],
    ["thick", c.thickness, "0.25"],
    ["tu", c.thicknessU, "0.02"],
  ] as const;
  const bad = lengths.find(([k]) => !(num(d[k]) > 0));
  const why = !d.sheet.trim() ? c.needSheet : bad && c.need(bad[1]);
  const length = ([k, label, as]: (typeof lengths)[number]) => (
    <Field
      label={label}
      unit="mm"
      mode="decimal"
      value={d[k]}
      set={(x) => type({ [k]: x })}
      hint={c.as(units.value === "in" ? `${as}, or ${(Number(as) / 25.4).toFixed(4)} in` : as)}
      wrong={d[k].trim() && !(num(d[k]) > 0) ? c.noLength(as) : undefined}
    />
  );
  const keep = async (): Promise<void> => {
    try {
      const data: CardData = {
        sheet: d.sheet.trim(),
        paper: d.paper,
        check_nominal_mm: 150,
        check_across_mm: num(d.across),
        check_along_mm: num(d.along),
        check_U_mm: num(d.u),
        thickness_mm: num(d.thick),
        thickness_U_mm: num(d.tu),
        measured_with: d.by,
        ...(isGiven(identity) && { identity: identityOf(identity) }),
      };
      await judgeLines(data);
      await saveAndRemember([{ kind: "card", project: project.id, data }], ([made]) => ({
        card: made!.id,
      }));
      say(c.saved(data.sheet));
      back("/cards");
    } catch (x) {
      setE(x);
    }
  };
  return (
    <Sheet
      title={c.newShort}
      facts={project.name}
      back="/cards"
      as="column"
      strip={
        <>
          <Act act={() => go("/cards")}>{w.cancel}</Act>
          <Act go icon="save" why={why} act={() => void keep()}>
            {w.save}
          </Act>
        </>
      }
    >
      <div class="pad stack">
        <svg viewBox="0 0 358 120" aria-hidden="true" style={{ width: "100%", maxWidth: "420px" }}>
          <path d="M80 12H278V108H80z" fill="none" stroke="var(--ink)" stroke-width="2" />
          <path class="d-thin" d="M100 88H258M100 82v12M258 82v12M112 24V96M106 24h12M106 96h12" />
          <path class="d-arrow" d="M100 88l11-2.5v5zM258 88l-11-2.500v5z" />
          <rect class="d-plaque" x="158" y="78" width="44" height="20" />
          <text class="d-text" x="180" y="88">
            150
          </text>
          <text class="d-text" x="180" y="72">
            {c.lines.across}
          </text>
          <text class="d-text" x="150" y="40">
            {c.lines.along}
          </text>
        </svg>
        <Trouble e={e} />
        <Field
          label={c.sheet}
          hint={c.sheetHint}
          value={d.sheet}
          set={(sheet) => type({ sheet })}
        />
        <Choice
          label={c.with}
          value={d.by}
          set={(by) => type({ by, u: by === c.rule ? "0.4" : "0.1" })}
          of={[
            { value: c.calipers, text: c.calipers },
            { value: c.rule, text: c.rule },
          ]}
        />
        <InstrumentFields project={project.id} value={identity} set={setIdentity} />
        <div class="two">{lengths.slice(0, 2).map(length)}</div>
        {length(lengths[2])}
        <div class="two">{lengths.slice(3).map(length)}</div>
        <HowSure />
        <Choice<Paper>
          label={c.paper}
          value={d.paper}
          set={(paper) => type({ paper })}
          of={[
            { value: "a4", text: c.a4 },
            { value: "letter", text: c.letter },
          ]}
        />
      </div>
    </Sheet>
  );
}

/** The Go side judges the check lines and the thickness. */
async function judgeLines(d: CardData): Promise<void> {
  await book.call("check-lines", {
    across_mm: d.check_across_mm,
    along_mm: d.check_along_mm,
    u_mm: d.check_U_mm,
    thickness_mm: d.thickness_mm,
    thickness_u_mm: d.thickness_U_mm,
  });
}
