// The limits of a part, or of one location alone: a published set, the drawing's own before it,
// and the one-time word that a laxer one stands on the drawing.
import { useEffect, useState } from "preact/hooks";
import type { Draft, Limit } from "../../bridge/types";
import { book } from "../../data/book";
import { save } from "../../data/entries";
import { back, path, route } from "../../router";
import { w } from "../../words";
import { handbook, useLive } from "../hooks";
import { Choice, Field, FileButton, Select, Tick, Trouble, Waiting } from "../kit/bits";
import { say } from "../kit/say";
import { Act, Sheet } from "../kit/sheet";
import { useRole } from "../role";
import { limitText, key } from "./limitlist";
import { type RowDraft, freshRow, toOwn, toRows } from "./ownlimits";

export function LimitsScreen({ id }: { id: string }) {
  const view = useLive("state.part", { id });
  const h = handbook(),
    role = useRole();
  const v = view.value;
  const alone = route.value.query.get("location");
  const here = alone ? v?.places.find((p) => p.location.id === alone) : undefined;
  const at = alone ? here?.spec : v?.spec;
  const from = alone ? path("location", alone) : path("part", id);
  const [set, setSet] = useState<string>();
  const [name, setName] = useState(""),
    [reference, setReference] = useState(""),
    [rows, setRows] = useState<RowDraft[]>([]);
  const [limits, setLimits] = useState<Limit[]>([]);
  const [said, setSaid] = useState(new Set<string>());
  const [e, setE] = useState<unknown>();
  useEffect(() => {
    if (!v) return;
    const o = at?.own_limits;
    setSet(at?.limit_set ?? v.project.limit_set);
    setName(o?.name ?? v.part.drawing ?? "");
    setReference(o?.reference ?? v.part.drawing ?? "");
    setRows(toRows(o));
    setSaid(new Set((v.part.laxer ?? []).map((l) => key(l.limit))));
  }, [v?.part.last_id, alone]);
  const own = toOwn(name, reference, rows, at?.kind);
  const spec = at && {
    ...at,
    limit_set: set ?? at.limit_set ?? "",
    ...(own ? { own_limits: own } : {}),
  };
  if (spec && !own) delete spec.own_limits;
  const asked = JSON.stringify(spec ?? null);
  useEffect(() => {
    if (!spec) return;
    let gone = false;
    book.call("limits", spec).then(
      (t) => {
        if (!gone) {
          setLimits(t.limits ?? []);
          setE(undefined);
        }
      },
      (x: unknown) => {
        if (!gone) setE(x);
      },
    );
    return () => {
      gone = true;
    };
  }, [asked]);
  if (!v || (alone && !here))
    return (
      <Sheet title={w.limitsScreen.title} back={from}>
        {view.error ? <Trouble e={view.error} /> : <Waiting />}
      </Sheet>
    );
  const facts = here ? w.limitsScreen.alone(here.location.tag, v.part.name) : v.part.name;
  const now = (
    <>
      <div class="head">
        <h2>{w.limitsScreen.now}</h2>
      </div>
      <ul class="rows">
        {limits.map((l, i) => (
          <li key={i}>
            <div class="row">
              <span class="what">
                {l.name}
                <small>
                  {l.source} · {w.limitsScreen.basis}: {l.basis}
                  {l.laxer &&
                    l.published &&
                    ` · ${w.limitsScreen.laxer(limitText(l), `${limitText(l.published)} (${l.published.source})`)}`}
                </small>
              </span>
              <b class="nowrap">{limitText(l)}</b>
            </div>
          </li>
        ))}
      </ul>
    </>
  );
  if (role === "inspector")
    return (
      <Sheet
        title={w.limitsScreen.title}
        facts={facts}
        back={from}
        as="column"
        strip={
          <Act go to={path("part", id)}>
            {w.part.title}
          </Act>
        }
      >
        <Trouble e={e} />
        <div tabIndex={0} role="region" aria-label={w.limitsScreen.now}>
          {now}
        </div>
      </Sheet>
    );
  const laxer = limits.filter((l) => l.laxer);
  const open = laxer.filter((l) => !said.has(key(l)));
  const keep = async (): Promise<void> => {
    const about = { project: v.project.id, part: id };
    const known = new Set((v.part.laxer ?? []).map((l) => key(l.limit)));
    const drafts: Draft[] = [
      {
        kind: "limits",
        ...about,
        ...(alone && { location: alone }),
        data: { set: set ?? v.project.limit_set, ...(own && { own }) },
      },
      ...laxer
        .filter((l) => !known.has(key(l)))
        .map((limit) => ({
          kind: "laxer-limit" as const,
          ...about,
          data: { limit, reference: limit.source, said: w.limitsScreen.laxerConfirm },
        })),
    ];
    try {
      await save(drafts);
      say(w.limitsScreen.saved);
      back(from);
    } catch (x) {
      setE(x);
    }
  };
  const fromFile = async (f: File): Promise<void> => {
    try {
      const o = await book.call("own", { json: await f.text() });
      setName(o.name);
      setReference(o.reference);
      setRows(toRows(o));
    } catch (x) {
      setE(x);
    }
  };
  return (
    <Sheet
      title={w.limitsScreen.title}
      facts={facts}
      back={from}
      as="column"
      strip={
        <>
          <Act to={from}>{w.cancel}</Act>
          <Act
            go
            icon="save"
            why={open.length ? w.limitsScreen.needConfirm : undefined}
            act={() => void keep()}
          >
            {w.save}
          </Act>
        </>
      }
    >
      <div class="pad">
        <Choice
          rows
          label={w.limitsScreen.published}
          value={set}
          set={setSet}
          of={(h?.sets ?? []).map((s) => ({
            value: s.name,
            text: s.title,
            note: `${s.about}. ${s.source}`,
          }))}
        />
      </div>
      <div class="head">
        <h2>{w.limitsScreen.own}</h2>
        <button class="link" type="button" onClick={() => setRows([...rows, freshRow])}>
          {w.limitsScreen.addLimit}
        </button>
      </div>
      <div class="pad stack">
        <p class="note">{w.limitsScreen.ownNote}</p>
        <Trouble e={e} />
        {rows.length > 0 && (
          <div class="two">
            <Field label={w.limitsScreen.name} value={name} set={setName} />
            <Field
              label={w.limitsScreen.reference}
              hint={w.limitsScreen.referenceHint}
              value={reference}
              set={setReference}
            />
          </div>
        )}
        {rows.map((r, i) => {
          const put = (c: Partial<RowDraft>): void =>
            setRows(rows.map((x, j) => (j === i ? { ...x, ...c } : x)));
          return (
            <div class="stack" key={i}>
              <div class="two">
                <Select
                  label={w.limitsScreen.quantity}
                  value={r.quantity}
                  set={(quantity) => put({ quantity })}
                  of={Object.entries(w.limitsScreen.quantities).map(([value, text]) => ({
                    value,
                    text,
                  }))}
                />
                <Select<RowDraft["unit"]>
                  label={w.limitsScreen.unit}
                  value={r.unit}
                  set={(unit) => put({ unit })}
                  of={[
                    { value: "mm", text: "mm" },
                    { value: "in", text: "in" },
                    { value: "d", text: "D" },
                  ]}
                />
              </div>
              <div class="two">
                <Field
                  label={w.limitsScreen.least}
                  mode="decimal"
                  value={r.least}
                  set={(least) => put({ least })}
                />
                <Field
                  label={w.limitsScreen.greatest}
                  mode="decimal"
                  value={r.greatest}
                  set={(greatest) => put({ greatest })}
                />
                <Field
                  label={w.limitsScreen.note}
                  value={r.reference}
                  set={(x) => put({ reference: x })}
                />
              </div>
              <button
                class="link"
                type="button"
                onClick={() => setRows(rows.filter((_, j) => j !== i))}
              >
                {w.limitsScreen.remove}
              </button>
            </div>
          );
        })}
        <FileButton accept=".json,application/json" class="btn" files={(f) => void fromFile(f[0]!)}>
          {w.limitsScreen.fromFile}
        </FileButton>
      </div>
      {laxer.length > 0 && (
        <>
          <div class="head">
            <h2>{w.limitsScreen.laxerTitle}</h2>
          </div>
          <div class="pad stack">
            {laxer.map((l) => (
              <div class="caution" key={key(l)}>
                <p>
                  <b>{l.name}</b>
                </p>
                <p>
                  {w.limitsScreen.laxer(
                    `${limitText(l)} (${l.source})`,
                    l.published ? `${limitText(l.published)} (${l.published.source})` : "",
                  )}
                </p>
                <Tick
                  checked={said.has(key(l))}
                  set={(on) => {
                    const n = new Set(said);
                    if (on) n.add(key(l));
                    else n.delete(key(l));
                    setSaid(n);
                  }}
                >
                  {w.limitsScreen.laxerConfirm}
                </Tick>
              </div>
            ))}
            <p class="note">{w.limitsScreen.laxerNote}</p>
          </div>
        </>
      )}
      {now}
    </Sheet>
  );
}
