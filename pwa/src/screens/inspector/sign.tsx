// The sign-off of a part: names exactly the entries that it covers, and shows when it is outdated.
import { useState } from "preact/hooks";
import { save } from "../../data/entries";
import { path } from "../../router";
import { w } from "../../words";
import { dayLong, time } from "../dates";
import { useLive } from "../hooks";
import { Field, Line, Trouble, Waiting } from "../kit/bits";
import { ShapeRows } from "../kit/shaperow";
import { Icon } from "../kit/shapes";
import { say } from "../kit/say";
import { Act, Sheet } from "../kit/sheet";
import { useRole } from "../role";
import { entryLine } from "../place/entryline";
import { signTrouble } from "../signoff";
import { SignerLine, useSigner } from "./signer";

export function SignScreen({ id }: { id: string }) {
  const v = useLive("state.part", { id }).value,
    covers = useLive("state.covers", { id }).value,
    came = useLive("state.came", { id }).value,
    open = useLive("state.open", { id }).value,
    status = useLive("state.sign-offs", { id }).value,
    entries = useLive("state.concerning", { id }).value;
  const builder = useRole() !== "inspector",
    s = useSigner();
  const [remark, setRemark] = useState(""),
    [busy, setBusy] = useState(false),
    [e, setE] = useState<unknown>();
  if (!v || !covers || !entries || !status || !came || !open)
    return (
      <Sheet title={w.sign.title} back={path("part", id)}>
        <Waiting />
      </Sheet>
    );
  const tags = new Map(v.places.map((p) => [p.location.id, p.location.tag]));
  const sign = async (): Promise<void> => {
    if (busy) return;
    setBusy(true);
    try {
      await save([
        {
          kind: "sign-off",
          project: v.project.id,
          part: id,
          data: {
            covers: covers.covers,
            digest: covers.digest,
            ...s.data,
            ...(remark.trim() && { remark: remark.trim() }),
          },
        },
      ]);
      setRemark("");
      say(w.sign.saved);
    } catch (x) {
      setE(x);
    } finally {
      setBusy(false);
    }
  };
  // The same again would say nothing; with a remark it does.
  const signed =
    !remark.trim() &&
    v.part.sign_offs?.some(
      (x) =>
        x.name === s.data.name &&
        (x.number ?? "") === (s.data.number ?? "") &&
        signTrouble(x, status[x.entry]) === "",
    );
  const byId = new Map(entries.map((x) => [x.id, x]));
  const strip = s.why ? (
    <>
      <Act to={path("part", id)}>{w.cancel}</Act>
      <Act go icon="sign" to="/inspect/who">
        {builder ? w.inspect.enter : w.inspect.whoGo}
      </Act>
    </>
  ) : (
    <>
      <Act to={path("part", id)}>{w.cancel}</Act>
      <Act
        go
        icon="sign"
        why={
          covers.covers.length === 0
            ? w.sign.nothing
            : signed
              ? w.sign.already(s.data.name)
              : undefined
        }
        act={() => void sign()}
      >
        {w.sign.sign}
      </Act>
    </>
  );
  return (
    <Sheet
      title={w.sign.title}
      facts={[v.part.name, v.part.drawing].filter(Boolean).join(" · ")}
      back={path("part", id)}
      as="column"
      strip={strip}
    >
      <div class="pad stack">
        <Trouble e={e} />
        <h2 class="message">{w.sign.covers(covers.covers.length)}</h2>
        <p>{w.sign.coversNote}</p>
        {open.length > 0 && (
          <div class="caution">
            <b>{w.sign.openTitle}</b>
            <ul>
              {open.map((x) => (
                <li key={x.what}>
                  {x.what}
                  {x.tags.length > 0 && `: ${x.tags.join(", ")}`}
                  {x.do && `: ${x.do}`}
                </li>
              ))}
            </ul>
            <p>{w.sign.sure}</p>
          </div>
        )}
        <p class="note">{w.inspect.lookFirst}</p>
        <Field label={w.sign.remark} value={remark} set={setRemark} />
      </div>
      <ShapeRows part={id} of={v.part.shapes} />
      <SignerLine s={s} />
      {(v.part.sign_offs?.length ?? 0) > 0 && (
        <>
          <div class="head">
            <h2>{w.sign.earlier}</h2>
          </div>
          <ul class="rows">
            {[...v.part.sign_offs!].reverse().map((x) => {
              const bad = signTrouble(x, status[x.entry]);
              return (
                <li key={x.entry}>
                  <div class="row">
                    <Icon i="sign" />
                    <span class="what">
                      <b>{x.name}</b>
                      {x.number && ` ${x.number}`}
                      <small>
                        {dayLong(x.at)} · {w.sign.covers(x.covered).toLowerCase()}
                        {x.on_paper && ` · ${w.inspect.paper}`}
                        {x.remark && ` · ${x.remark}`}
                      </small>
                      <small>{w.sign.code(x.code)}</small>
                      {bad ? (
                        <small class="ink">
                          <b>{bad}</b>
                        </small>
                      ) : (
                        bad === "" && <small>{w.sign.current}</small>
                      )}
                    </span>
                  </div>
                </li>
              );
            })}
          </ul>
        </>
      )}
      <details class="pad">
        <summary>{w.sign.list}</summary>
        <ol class="rows">
          {covers.covers.map((x) => {
            const en = byId.get(x);
            return (
              <Line
                key={x}
                tag={(en?.location && tags.get(en.location)) ?? ""}
                what={en ? entryLine(en, came[en.id]).text : x}
                small={`${en ? `${time(en.at)} · ${en.by} · ` : ""}${x.slice(0, 13)}`}
              />
            );
          })}
        </ol>
      </details>
    </Sheet>
  );
}
