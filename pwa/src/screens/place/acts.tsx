// Short forms about one location: note, hand gauge, what is to be done, a new rivet, a change.
import { useEffect, useState } from "preact/hooks";
import type { ComponentChildren } from "preact";
import type {
  Disposition,
  Draft,
  LocationView,
  Quantity,
  Reading,
  Stage,
} from "../../bridge/types";
import { book } from "../../data/book";
import { save, type NewPhoto } from "../../data/entries";
import { eye } from "../../eye";
import { back, go, path } from "../../router";
import { w } from "../../words";
import { findings } from "../finding";
import { handbook, useLive } from "../hooks";
import { Choice, Field, FileButton, Select, Tick, Trouble, upper, Waiting } from "../kit/bits";
import { say } from "../kit/say";
import { Act, Sheet } from "../kit/sheet";
import { units } from "../prefs";
import { draftOf, SpecForm, specOf, type SpecDraft } from "../parts/specform";

const num = (s: string): number => Number(s.replace(",", "."));

/** Reads a photo for a note or a page: named by its content, kept with the entry. */
export async function newPhoto(f: File): Promise<NewPhoto> {
  const t = await eye.call("take", {}, { bytes: await f.arrayBuffer() });
  return {
    hash: t.sha256,
    media: t.media,
    blob: new Blob([f], { type: t.media }),
    width: 0,
    height: 0,
  };
}

function Form({
  id,
  title,
  why,
  make,
  photos,
  words,
  then,
  children,
}: {
  id: string;
  title: (v: LocationView) => string;
  why: string | undefined;
  make: (v: LocationView) => Promise<Draft[]> | Draft[];
  photos?: NewPhoto[];
  words: string;
  then?: (v: LocationView) => string;
  children: (v: LocationView) => ComponentChildren;
}) {
  const live = useLive("state.location", { id });
  const [e, setE] = useState<unknown>();
  const v = live.value,
    home = path("location", id);
  if (!v)
    return (
      <Sheet title={w.history.title} back={home}>
        {live.error ? <Trouble e={live.error} /> : <Waiting />}
      </Sheet>
    );
  const keep = async (): Promise<void> => {
    try {
      await save(await make(v), photos ? { photos } : {});
      say(words);
      if (then) go(then(v), { replace: true });
      else back(home);
    } catch (x) {
      setE(x);
    }
  };
  return (
    <Sheet
      title={title(v)}
      facts={[v.location.tag, v.part.name].join(" · ")}
      back={home}
      as="column"
      strip={
        <>
          <Act to={home}>{w.cancel}</Act>
          <Act go icon="save" why={why} act={() => void keep()}>
            {w.save}
          </Act>
        </>
      }
    >
      <div class="pad stack">
        <Trouble e={e} />
        {children(v)}
      </div>
    </Sheet>
  );
}

const about = (v: LocationView) => ({
  project: v.project.id,
  part: v.part.id,
  location: v.location.id,
});

export function NoteForm({ id }: { id: string }) {
  const [text, setText] = useState(""),
    [photos, setPhotos] = useState<NewPhoto[]>([]),
    [e, setE] = useState<unknown>();
  return (
    <Form
      id={id}
      title={() => w.note.title}
      why={text.trim() || photos.length ? undefined : w.note.need}
      photos={photos}
      words={w.note.saved}
      make={(v) => [
        {
          kind: "note",
          ...about(v),
          data: {
            text: text.trim(),
            ...(photos.length > 0 && { photos: photos.map((p) => p.hash) }),
            ...(v.location.finding && { finding: v.location.finding }),
          },
        },
      ]}
    >
      {() => (
        <>
          <Field area label={w.note.text} value={text} set={setText} />
          <Trouble e={e} />
          <FileButton
            many
            files={(f) =>
              void Promise.all(f.map(newPhoto)).then((p) => setPhotos([...photos, ...p]), setE)
            }
          >
            {w.note.photo}
          </FileButton>
          {photos.length > 0 && <p class="note">{w.note.photos(photos.length)}</p>}
        </>
      )}
    </Form>
  );
}

/** What hand gauges usually leave open, in the unit that is typed: calipers, and a rule read to half a millimetre. */
const usualU = () =>
  units.value === "in" ? { calipers: "0.002", rule: "0.02" } : { calipers: "0.05", rule: "0.5" };

const gaugeable: Quantity[] = [
  "head_d_min",
  "head_d_max",
  "head_d_mean",
  "hole_d_min",
  "hole_d_max",
  "hole_d_mean",
  "edge_distance",
  "pitch",
  "head_height",
  "out_of_round",
  "mandrel_off",
];

export function GaugeForm({ id }: { id: string }) {
  const [instrument, setInstrument] = useState(""),
    [rows, setRows] = useState<{ q: Quantity; v: string; u: string }[]>([
      { q: "head_d_min", v: "", u: usualU().calipers },
    ]);
  const inch = units.value === "in",
    k = inch ? 25.4 : 1;
  const good = instrument.trim() && rows.every((r) => num(r.v) > 0 && num(r.u) > 0);
  const known = useLive("state.location", { id }).value;
  const spec0 =
    known && (findings(known.entries).get(known.location.finding ?? "")?.data.spec ?? known.spec);
  useEffect(() => {
    if (spec0?.kind === "hole") setRows([{ q: "hole_d_min", v: "", u: usualU().calipers }]);
  }, [spec0?.kind]);
  return (
    <Form
      id={id}
      title={() => w.gauge.title}
      why={good ? undefined : w.gauge.need}
      words={w.gauge.saved}
      make={async (v) => {
        const spec = spec0 ?? v.spec;
        if (!spec) throw new Error(w.part.needSize);
        const readings: Reading[] = rows.map((r) => ({
          quantity: r.q,
          value_mm: num(r.v) * k,
          U_mm: num(r.u) * k,
          how: "hand gauge",
          method: instrument.trim(),
        }));
        const j = await book.call("judge", {
          spec,
          readings,
          ...(v.hole.length > 0 && spec.kind !== "hole" && { hole: v.hole }),
        });
        return [
          {
            kind: "gauge",
            ...about(v),
            data: {
              ...(v.location.finding && { finding: v.location.finding }),
              spec,
              instrument: instrument.trim(),
              readings,
              result: { ...j.result, unread: [] },
            },
          },
        ];
      }}
    >
      {() => (
        <>
          <Field
            label={w.gauge.instrument}
            hint={w.gauge.instrumentHint}
            value={instrument}
            set={setInstrument}
          />
          {rows.map((r, i) => {
            const put = (c: Partial<typeof r>): void =>
              setRows(rows.map((x, j) => (j === i ? { ...x, ...c } : x)));
            return (
              <div class="stack" key={i}>
                <Select<Quantity>
                  label={w.gauge.quantity}
                  value={r.q}
                  set={(q) => put({ q })}
                  of={gaugeable
                    .filter((q) =>
                      spec0?.kind === "hole" ? !q.startsWith("head") : !q.startsWith("hole"),
                    )
                    .map((q) => ({ value: q, text: upper(w.quantity[q]) }))}
                />
                <div class="two">
                  <Field
                    label={w.gauge.value}
                    unit={inch ? "in" : "mm"}
                    mode="decimal"
                    value={r.v}
                    set={(x) => put({ v: x })}
                  />
                  <Field
                    label={w.gauge.u}
                    unit={inch ? "in" : "mm"}
                    mode="decimal"
                    value={r.u}
                    set={(u) => put({ u })}
                  />
                </div>
              </div>
            );
          })}
          <p class="note">{w.gauge.uHint(inch)}</p>
          <button
            type="button"
            class="link"
            onClick={() => setRows([...rows, { q: "edge_distance", v: "", u: usualU().rule }])}
          >
            {w.gauge.add}
          </button>
        </>
      )}
    </Form>
  );
}

export function DecideForm({ id }: { id: string }) {
  const [action, setAction] = useState<Disposition>(),
    [reason, setReason] = useState(""),
    [answer, setAnswer] = useState("");
  return (
    <Form
      id={id}
      title={(v) => w.decide.title(v.location.tag)}
      why={
        !action
          ? w.decide.action
          : action === "keep" && !reason.trim()
            ? w.decide.reasonKeep
            : undefined
      }
      words={w.decide.saved}
      make={(v) => [
        {
          kind: "disposition",
          ...about(v),
          data: {
            finding: v.location.finding ?? "",
            action: action!,
            ...(reason.trim() && { reason: reason.trim() }),
            ...(answer.trim() && { answer: answer.trim() }),
          },
        },
      ]}
    >
      {(v) => (
        <>
          {v.location.work?.map((x) => (
            <p class="note">
              <b>{w.workScreen.groups[x.kind]}</b> {x.text}
            </p>
          ))}
          <Choice<Disposition>
            rows
            label={w.decide.action}
            value={action}
            set={setAction}
            of={(["drill out", "re-measure", "keep", "refer to the designer"] as const).map(
              (d) => ({ value: d, text: upper(w.disposition[d]) }),
            )}
          />
          {action === "keep" && <p class="note">{w.decide.keepNote}</p>}
          <Field area label={w.decide.reason} value={reason} set={setReason} />
          {action === "refer to the designer" && (
            <Field label={w.decide.answer} value={answer} set={setAnswer} />
          )}
          <p class="note">{w.cautionPhoto}</p>
        </>
      )}
    </Form>
  );
}

export function AttemptForm({ id }: { id: string }) {
  const [tool, setTool] = useState(""),
    [own, setOwn] = useState(false),
    [spec, setSpec] = useState<SpecDraft>();
  return (
    <Form
      id={id}
      title={(v) => w.attempt.title(v.location.tag)}
      why={undefined}
      words={w.attempt.saved}
      then={(v) => `${path("part", v.part.id, "snap")}?at=${id}`}
      make={async (v) => [
        {
          kind: "attempt",
          ...about(v),
          data: {
            ...(tool.trim() && { tool: tool.trim() }),
            ...(own && spec && { spec: await specOf(spec, v.spec?.limit_set) }),
          },
        },
        ...(own && spec
          ? [
              {
                kind: "location" as const,
                ...about(v),
                data: { spec: await specOf(spec, v.spec?.limit_set) },
              },
            ]
          : []),
      ]}
    >
      {(v) => (
        <>
          <Field label={w.attempt.tool} hint={w.attempt.toolHint} value={tool} set={setTool} />
          <Tick
            checked={own}
            set={(x) => {
              setOwn(x);
              setSpec(draftOf(v.spec));
            }}
          >
            {w.attempt.own}
          </Tick>
          {own && spec && <SpecForm value={spec} set={setSpec} />}
        </>
      )}
    </Form>
  );
}

export function LocationEdit({ id }: { id: string }) {
  const [tag, setTag] = useState<string>(),
    [own, setOwn] = useState<boolean>(),
    [spec, setSpec] = useState<SpecDraft>(),
    [stage, setStage] = useState<Stage>(),
    [out, setOut] = useState<boolean>();
  const h = handbook();
  return (
    <Form
      id={id}
      title={() => w.location.title}
      why={tag === "" ? w.location.tag : undefined}
      words={w.location.saved}
      make={async (v) => {
        const l = v.location;
        const data = {
          ...(tag && tag !== l.tag && { tag: tag.trim() }),
          ...(own && spec && { spec: await specOf(spec, v.spec?.limit_set) }),
          ...(out !== undefined && out !== (l.out ?? false) && { out }),
        };
        const drafts: Draft[] = [];
        if (Object.keys(data).length) drafts.push({ kind: "location", ...about(v), data });
        if (stage && stage !== l.stage)
          drafts.push({ kind: "stage", ...about(v), data: { stage } });
        return drafts;
      }}
    >
      {(v) => {
        const l = v.location;
        return (
          <>
            <Field label={w.location.tag} value={tag ?? l.tag} set={setTag} />
            {l.stage !== "set rivet" && h && (
              <Choice<Stage>
                label={w.history.markStage}
                value={stage ?? l.stage}
                set={setStage}
                of={(["marked", "pilot hole", "final hole"] as const).map((s) => ({
                  value: s,
                  text: w.stage[s],
                }))}
                hint={w.location.stageNote}
              />
            )}
            <Tick
              checked={own ?? !!l.spec}
              set={(x) => {
                setOwn(x);
                setSpec(draftOf(v.spec));
              }}
            >
              {w.location.own} <small>{w.location.ownNote}</small>
            </Tick>
            {(own ?? false) && spec && <SpecForm value={spec} set={setSpec} />}
            <p>
              <a class="link" href={`${path("part", v.part.id, "layout")}?pin=${id}`}>
                {w.layoutScreen.setPin(l.tag)}
              </a>
            </p>
            <p>
              <a class="link" href={`${path("part", v.part.id, "limits")}?location=${id}`}>
                {w.limitsScreen.ofAlone(l.tag)}
              </a>
            </p>
            <Tick checked={out ?? l.out ?? false} set={setOut}>
              {w.location.out} <small>{w.location.outSure}</small>
            </Tick>
          </>
        );
      }}
    </Form>
  );
}
