// One entry of a location's history, with what is in it and the way to take it back.
import { useState } from "preact/hooks";
import type { Entry, LocationView, ShotData } from "../../bridge/types";
import { save } from "../../data/entries";
import { w } from "../../words";
import { cameraTime, time } from "../dates";
import { Field, Trouble } from "../kit/bits";
import { say } from "../kit/say";
import { Icon, isVerdict, Shape } from "../kit/shapes";
import { byWhom, Checks } from "../photo/checks";
import { shotOf } from "../photo/drawn";
import { useRole } from "../role";
import { CropView } from "./crop";
import { cameTo, entryLine } from "./entryline";
import { Move } from "./move";

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

export function EntryRow({ e, v }: { e: Entry; v: LocationView }) {
  const [open, setOpen] = useState(false),
    [why, setWhy] = useState<string>(),
    [err, setErr] = useState<unknown>();
  const role = useRole();
  const over = v.entries.find((o) => o.supersedes?.includes(e.id)),
    remark = v.location.remarks?.find((r) => r.entry === e.id);
  const { shape, text } = entryLine(e, cameTo(v.own[e.id]));
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
          <span class={isVerdict(shape) ? shape : "stage"}>
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
              ` · ${over.kind === "withdrawal" ? w.history.withdrawn : w.history.superseded}${over.why ? `: ${over.why}` : ""}`}
            {e.kind === "finding" && e.why && ` · ${e.why}`}
            {remark && ` · ${w.history.remark}: ${remark.text}`}
          </small>
        </span>
        <Icon i={open ? "up" : "down"} />
      </button>
      {open && (
        <div>
          <Contents e={e} v={v} />
          <div class="pad stack">
            <dl class="kv">
              {e.kind === "shot" && (
                <>
                  <dt>{w.history.card}</dt>
                  <dd>{cardOf(e.data, v)}</dd>
                  {e.data.taken_at && (
                    <>
                      <dt>{w.history.taken}</dt>
                      <dd>{cameraTime(e.data.taken_at)}</dd>
                    </>
                  )}
                  <dt>SHA-256</dt>
                  <dd>{e.data.photo}</dd>
                </>
              )}
              <dt>id</dt>
              <dd>{e.id}</dd>
            </dl>
            <Trouble e={err} />
            {!over && e.kind === "finding" && role === "builder" && counts(e.id, v) && (
              <Move finding={e.id} v={v} />
            )}
            {!over &&
              e.kind !== "withdrawal" &&
              role === "builder" &&
              !(e.kind === "location" && !e.location) &&
              (why === undefined ? (
                <button type="button" class="link" onClick={() => setWhy("")}>
                  {w.history.takeBack}
                </button>
              ) : (
                <TakeBack why={why} set={setWhy} act={() => void takeBack()} />
              ))}
          </div>
        </div>
      )}
    </>
  );
}

/** Whether a finding is one of those that count, now or in an attempt before. */
const counts = (id: string, v: LocationView): boolean => v.looks.some((l) => l.entries[0] === id);

/** What an entry brought with it: readings, the page it stands on, words and photos. */
function Contents({ e, v }: { e: Entry; v: LocationView }) {
  const own = v.own[e.id],
    taken = e.kind === "finding" && shotOf(v.entries, e.data.shot)?.taken_at;
  return (
    <>
      {taken && <p class="pad note">{w.result.takenAt(cameraTime(taken))}</p>}
      {(e.kind === "finding" || e.kind === "gauge") && own && (
        <Checks
          s={own}
          readings={e.data.readings ?? []}
          by={byWhom(v)}
          notes={e.data.result.notes}
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
    </>
  );
}

function TakeBack({
  why,
  set,
  act,
}: {
  why: string;
  set: (why: string | undefined) => void;
  act: () => void;
}) {
  return (
    <>
      <Field label={w.history.takeBackWhy} value={why} set={set} />
      <div class="btns">
        <button type="button" class="btn" onClick={() => set(undefined)}>
          {w.cancel}
        </button>
        <button
          type="button"
          class="btn"
          aria-disabled={!why.trim()}
          onClick={() => {
            if (why.trim()) act();
          }}
        >
          {w.history.takeBack}
        </button>
      </div>
    </>
  );
}
