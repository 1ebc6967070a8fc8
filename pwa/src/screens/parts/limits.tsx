// The limits of a part, or of one location alone: a published set, the drawing's own before it,
// and the one-time confirmation that a less strict one stands on the drawing.
import { useEffect, useState } from "preact/hooks";
import type { Draft, KnownLimit } from "../../bridge/types";
import { book } from "../../data/book";
import { save } from "../../data/entries";
import { back, path, route } from "../../router";
import { w } from "../../words";
import { handbook, useLive } from "../hooks";
import { Choice, Field, FileButton, Trouble } from "../kit/bits";
import { say } from "../kit/say";
import { Act, Sheet } from "../kit/sheet";
import { useRole } from "../role";
import { ConfirmLimits, limitKey, LimitList } from "./limitlist";
import {
  freshRow,
  toOwn,
  toRows,
  unreadable,
  wholeOf,
  type RowDraft,
  type Whole,
} from "./ownlimits";
import { OwnRow } from "./ownrow";
import { Opening } from "../kit/opening";

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
  const [whole, setWhole] = useState<Whole>({ name: "", reference: "", edition: "", page: "" }),
    [rows, setRows] = useState<RowDraft[]>([]);
  const [limits, setLimits] = useState<KnownLimit[]>([]);
  const [said, setSaid] = useState(new Set<string>());
  const [e, setE] = useState<unknown>();
  useEffect(() => {
    if (!v) return;
    const o = at?.own_limits;
    setSet(at?.limit_set ?? v.project.limit_set);
    setWhole(wholeOf(o, v.part.drawing));
    setRows(toRows(o));
    setSaid(new Set((v.part.laxer ?? []).map((l) => limitKey(l.limit))));
  }, [v?.part.last_id, alone]);
  const own = toOwn(whole, rows, at?.kind);
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
          setLimits(t.limits);
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
    return <Opening title={w.limitsScreen.title} back={from} error={view.error} />;
  const facts = here ? w.limitsScreen.alone(here.location.tag, v.part.name) : v.part.name;
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
          <LimitList limits={limits} />
        </div>
      </Sheet>
    );
  const lessStrict = limits.filter((l) => l.laxer);
  const open = lessStrict.filter((l) => !said.has(limitKey(l)));
  const keep = async (): Promise<void> => {
    const about = { project: v.project.id, part: id };
    const known = new Set((v.part.laxer ?? []).map((l) => limitKey(l.limit)));
    const drafts: Draft[] = [
      {
        kind: "limits",
        ...about,
        ...(alone && { location: alone }),
        data: { set: set ?? v.project.limit_set, ...(own && { own }) },
      },
      ...lessStrict
        .filter((l) => !known.has(limitKey(l)))
        .map(({ from: _, published_from: __, ...limit }) => ({
          kind: "laxer-limit" as const,
          ...about,
          data: { limit, reference: limit.source, said: w.limitsScreen.lessStrictConfirm },
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
      setWhole(wholeOf(o));
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
            why={
              unreadable(rows)
                ? w.needDecimal
                : open.length
                  ? w.limitsScreen.needConfirm
                  : undefined
            }
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
        <Trouble e={unreadable(rows) ? undefined : e} />
        {rows.length > 0 && (
          <div class="two">
            {(["name", "reference", "edition", "page"] as const).map((x) => (
              <Field
                key={x}
                label={w.limitsScreen[x]}
                hint={x === "reference" ? w.limitsScreen.referenceHint : undefined}
                value={whole[x]}
                set={(text) => setWhole({ ...whole, [x]: text })}
              />
            ))}
          </div>
        )}
        {rows.map((r, i) => (
          <OwnRow
            key={i}
            r={r}
            kind={spec?.kind}
            put={(c) => setRows(rows.map((x, j) => (j === i ? { ...x, ...c } : x)))}
            remove={() => setRows(rows.filter((_, j) => j !== i))}
          />
        ))}
        <FileButton accept=".json,application/json" class="btn" files={(f) => void fromFile(f[0]!)}>
          {w.limitsScreen.fromFile}
        </FileButton>
      </div>
      {lessStrict.length > 0 && <ConfirmLimits lessStrict={lessStrict} said={said} set={setSaid} />}
      <LimitList limits={limits} />
    </Sheet>
  );
}
