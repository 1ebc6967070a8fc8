// A location: its attempts side by side, all that was entered, what can be done now.
import { useState } from "preact/hooks";
import type { Entry, LocationView, ShotData } from "../../bridge/types";
import { save } from "../../data/entries";
import { pieceOf } from "../../data/pieces";
import { path } from "../../router";
import { w } from "../../words";
import { deciding, findings, headline, isDiameter, ofKind, standing, worst } from "../finding";
import { day, time, useLive, wide } from "../hooks";
import { Empty, Field, Num, sentence, Trouble, Waiting } from "../kit/bits";
import { Icon, Shape, V, verdictShape } from "../kit/shapes";
import { say } from "../kit/say";
import { Act, Sheet } from "../kit/sheet";
import { Checks } from "../photo/checks";
import { shotOf } from "../photo/drawn";
import { units } from "../prefs";
import { useRole } from "../role";
import { CropView } from "./crop";
import { Plot } from "./plot";
import { pointsOf } from "./points";

export function LocationScreen({ id }: { id: string }) {
  const live = useLive("state.location", { id });
  const v = live.value;
  const part = useLive("state.concerning", { id: v?.part.id ?? "" }).value;
  const role = useRole();
  if (!v)
    return (
      <Sheet
        title={w.history.title}
        back="/parts"
        strip={
          <Act go to="/parts">
            {w.toParts}
          </Act>
        }
      >
        {live.error ? (
          <div class="pad stack">
            <h2 class="message">{w.nothingHere}</h2>
            <p>{w.nothingHereDo}</p>
          </div>
        ) : (
          <Waiting />
        )}
      </Sheet>
    );
  const l = v.location;
  const back = path("part", v.part.id);
  const head = v.spec?.kind === "hole" ? "hole" : "head";
  const points = pointsOf(part ?? [], head);
  return (
    <Sheet
      title={l.tag}
      facts={[v.part.name, v.part.drawing].filter(Boolean).join(" · ")}
      back={back}
      as={wide.value ? "split" : ""}
      cell={{ label: w.history.attempt, value: w.history.of(l.attempt, l.attempts.length || 1) }}
      strip={
        role === "inspector" ? (
          <>
            <Act to={path("location", id, "note")}>{w.history.addNote}</Act>
            <Act go icon="sign" to={`/inspect?at=${id}`}>
              {w.inspectorTab}
            </Act>
          </>
        ) : (
          <>
            <Act to={path("location", id, "note")}>{w.history.addNote}</Act>
            <Act go icon="snap" to={`${path("part", v.part.id, "snap")}?at=${id}`}>
              {w.history.snap(l.tag)}
            </Act>
          </>
        )
      }
    >
      <section class="left">
        {l.work?.map((x) => (
          <div class="said" key={x.entry + x.kind}>
            <p>
              <b>{w.workScreen.groups[x.kind]}</b>
              {x.text && <> · {sentence(x.text)}</>}
            </p>
            {x.kind === "inspector asks" && role === "builder" && (
              <p class="note">{w.history.askedDo}</p>
            )}
          </div>
        ))}
        <Attempts v={v} />
        {points.length > 1 && (
          <>
            <div class="head">
              <h2>
                {w.history.plotFor(
                  head === "hole" ? w.history.holeD : w.history.headD,
                  units.value,
                )}
              </h2>
              <small>{w.history.order}</small>
            </div>
            <div class="pad">
              <Plot
                points={points}
                mark={l.tag}
                by="order"
                name={head === "hole" ? w.history.holeD : w.history.headD}
              />
            </div>
          </>
        )}
      </section>
      <section class="right">
        <div class="row">
          <V v={l.verdict} stage={l.stage} />
          {l.decision && <small>{w.disposition[l.decision]}</small>}
          <span class="rd">
            <small>{w.stage[l.stage]}</small>
          </span>
        </div>
        {role === "builder" && <Todo v={v} />}
        <div class="head">
          <h2>{w.history.entries}</h2>
        </div>
        {v.entries.length <= 1 && (
          <Empty title={w.history.none}>
            <p>{w.history.noneDo}</p>
          </Empty>
        )}
        <ol class="rows">
          {[...v.entries].reverse().map((e) => (
            <li key={e.id}>
              <EntryRow e={e} v={v} />
            </li>
          ))}
        </ol>
      </section>
    </Sheet>
  );
}

/** What can be done here now; each also waits on the work list. */
function Todo({ v }: { v: LocationView }) {
  const l = v.location,
    to = (x: string): string => path("location", l.id, x);
  const links: [string, string][] = [
    ...(l.stage === "set rivet"
      ? [[to("rework"), w.history.drilledAction] as [string, string]]
      : [[to("attempt"), w.history.setRivet] as [string, string]]),
    ...(l.finding
      ? [
          [to("gauge"), w.history.gauge] as [string, string],
          [to("decide"), w.history.decide] as [string, string],
        ]
      : [[to("gauge"), w.history.gauge] as [string, string]]),
    [to("edit"), w.history.editLoc],
  ];
  return (
    <ul class="rows">
      {links.map(([h, t]) => (
        <li key={h}>
          <a class="row" href={h}>
            <span class="what">{t}</span>
            <Icon i="next" />
          </a>
        </li>
      ))}
    </ul>
  );
}

export function Attempts({ v }: { v: LocationView }) {
  const shots = useLive("state.concerning", { id: v.part.id }).value ?? [];
  const all = ofKind(v.entries, "finding");
  if (all.length === 0) return null;
  return (
    <div class="crops">
      {all.slice(-6).map((f) => {
        const shot = shotOf(shots, f.data.shot),
          a = v.location.attempts.find((x) => x.findings?.includes(f.id)),
          n = a?.n;
        // Hand readings after the attempt's last photo have their say in its verdict.
        const later = a?.findings?.slice(a.findings.indexOf(f.id) + 1) ?? [],
          gauged =
            later.length > 0 &&
            later.every((x) => v.entries.some((e) => e.id === x && e.kind === "gauge"));
        const d = headline(f.data.result.checks, f.data.readings),
          hole = f.data.spec.kind === "hole";
        const verdict = worst([deciding(f.data.result.checks)?.verdict, f.data.answers_verdict]);
        const now =
            gauged && f.id === v.location.finding
              ? standing(v.location, findings(v.entries))
              : undefined,
          left = now && headline(now.checks, now.readings);
        return (
          <figure key={f.id}>
            <figcaption class="label">
              {hole ? w.history.hole : (n ?? "")} · {day(f.at)}
            </figcaption>
            <CropView
              hash={shot?.photo}
              crop={f.data.crop}
              width={shot?.width_px}
              from={pieceOf(f.data)}
              alt={`${v.location.tag}, ${verdict || w.notJudged}, ${day(f.at)}`}
            />
            {d && <Read d={d} />}
            <V v={verdict} />
            {gauged && (
              <>
                <small class="block">{w.history.gauged}</small>
                {left && <Read d={left} />}
                <V v={a?.verdict} />
              </>
            )}
          </figure>
        );
      })}
    </div>
  );
}

/** A reading and what it is of. */
const Read = ({ d }: { d: NonNullable<ReturnType<typeof headline>> }) => (
  <>
    <Num mm={d.mm} u={d.u} d={isDiameter(d.quantity)} />{" "}
    <small>{w.quantityShort[d.quantity]}</small>
    <br />
  </>
);

/** What an entry says in one line. */
export function entryLine(e: Entry): { shape: string | undefined; text: string } {
  const t = w.entry[e.kind] ?? w.unknownEntry;
  switch (e.kind) {
    case "finding": {
      const v = worst([deciding(e.data.result.checks)?.verdict, e.data.answers_verdict]);
      return {
        shape: v ? verdictShape[v] : "set",
        text: `${e.data.spec.kind === "hole" ? w.kind.hole : w.kind[e.data.spec.kind]}: ${v ? w.verdict[v] : w.notJudged}`,
      };
    }
    case "gauge": {
      const v = deciding(e.data.result.checks)?.verdict;
      return {
        shape: v && verdictShape[v],
        text: `${t}, ${e.data.instrument}${v ? `: ${w.verdict[v]}` : ""}`,
      };
    }
    case "disposition":
      return {
        shape: undefined,
        text: `${w.disposition[e.data.action]}${e.data.reason ? `: ${e.data.reason}` : ""}`,
      };
    case "decision":
      return {
        shape: undefined,
        text: `${e.data.name}${e.data.number ? ` (${e.data.number})` : ""}: ${w.disposition[e.data.answer]}${e.data.reason ? `, ${e.data.reason}` : ""}${e.data.on_paper ? `, ${w.inspect.paper.toLowerCase()}` : ""}`,
      };
    case "drilled-out":
      return { shape: "drilled", text: `${t}${e.data.reason ? `: ${e.data.reason}` : ""}` };
    case "stage":
      return { shape: undefined, text: w.stage[e.data.stage] };
    case "note":
      return { shape: undefined, text: e.data.text || w.note.photos(e.data.photos?.length ?? 0) };
    case "attempt":
      return { shape: "set", text: `${t}${e.data.tool ? `, ${e.data.tool}` : ""}` };
    case "sign-off":
      return { shape: undefined, text: `${t}, ${e.data.name}` };
    case "location":
      return { shape: "marked", text: e.data.tag ? `${t}: ${e.data.tag}` : t };
    default:
      return { shape: undefined, text: t };
  }
}

/** Which card a photo was measured by, and which measured sheet of it. */
function cardOf(d: ShotData, v: LocationView): string {
  const sheet = v.project.cards?.find((c) => c.id === d.calibration);
  return (
    [
      d.layout,
      sheet ? w.cards.sheetNo(sheet.sheet) : d.calibration,
      sheet && w.cards.measured(time(sheet.at)),
    ]
      .filter(Boolean)
      .join(", ") || w.history.noCard
  );
}

function EntryRow({ e, v }: { e: Entry; v: LocationView }) {
  const [open, setOpen] = useState(false),
    [why, setWhy] = useState<string>(),
    [err, setErr] = useState<unknown>();
  const role = useRole();
  const over = v.entries.find((o) => o.supersedes?.includes(e.id)),
    remark = v.location.remarks?.find((r) => r.entry === e.id);
  const { shape, text } = entryLine(e);
  const takeBack = async (): Promise<void> => {
    try {
      await save([
        {
          kind: "withdrawal",
          project: v.project.id,
          part: v.part.id,
          location: v.location.id,
          supersedes: [e.id],
          why: why!.trim(),
          data: {},
        },
      ]);
      say(w.history.takenBack);
      setWhy(undefined);
    } catch (x) {
      setErr(x);
    }
  };
  return (
    <>
      <button type="button" class="row" aria-expanded={open} onClick={() => setOpen(!open)}>
        {shape ? (
          <span
            class={shape === "within" || shape === "out" || shape === "close" ? shape : "stage"}
          >
            <Shape s={shape} />
          </span>
        ) : (
          <span style={{ width: "1.25em" }} />
        )}
        <span class="what">
          {over ? <s>{text}</s> : text}
          <small>
            {time(e.at)} · {e.by}
            {over &&
              ` · ${over.kind === "withdrawal" ? w.history.withdrawn : w.history.superseded}`}
            {remark && ` · ${w.history.remark}: ${remark.text}`}
          </small>
        </span>
        <Icon i={open ? "up" : "down"} />
      </button>
      {open && (
        <div>
          {(e.kind === "finding" || e.kind === "gauge") && (
            <Checks
              checks={e.data.result.checks ?? []}
              readings={e.data.readings ?? []}
              verdict=""
              notes={e.data.result.notes}
              unread={e.data.result.unread}
            />
          )}
          {(e.kind === "decision" || e.kind === "sign-off") && e.data.on_paper && (
            <div class="pad">
              <CropView hash={e.data.on_paper.photo} crop={undefined} alt={w.inspect.paperPhoto} />
            </div>
          )}
          {e.kind === "note" && (
            <div class="pad stack">
              <p>{e.data.text}</p>
              {e.data.photos?.map((h) => (
                <CropView hash={h} crop={undefined} alt={w.note.title} />
              ))}
            </div>
          )}
          <div class="pad stack">
            <dl class="kv">
              {e.kind === "shot" && (
                <>
                  <dt>{w.history.card}</dt>
                  <dd>{cardOf(e.data, v)}</dd>
                  <dt>SHA-256</dt>
                  <dd>{e.data.photo}</dd>
                </>
              )}
              <dt>id</dt>
              <dd>{e.id}</dd>
            </dl>
            <Trouble e={err} />
            {!over &&
              e.kind !== "withdrawal" &&
              role === "builder" &&
              !(e.kind === "location" && !e.location) &&
              (why === undefined ? (
                <button type="button" class="link" onClick={() => setWhy("")}>
                  {w.history.takeBack}
                </button>
              ) : (
                <>
                  <Field label={w.history.takeBackWhy} value={why} set={setWhy} />
                  <div class="btns">
                    <button type="button" class="btn" onClick={() => setWhy(undefined)}>
                      {w.cancel}
                    </button>
                    <button
                      type="button"
                      class="btn"
                      aria-disabled={!why.trim()}
                      onClick={() => {
                        if (why.trim()) void takeBack();
                      }}
                    >
                      {w.history.takeBack}
                    </button>
                  </div>
                </>
              ))}
          </div>
        </div>
      )}
    </>
  );
}
