// The sign-off of a part: names exactly the entries that it covers, and shows when it is outdated.
import { useState } from "preact/hooks";
import { save, type NewPhoto } from "../../data/entries";
import { path } from "../../router";
import { w } from "../../words";
import { dayLong, time, useLive } from "../hooks";
import { Field, Trouble, Waiting } from "../kit/bits";
import { Icon } from "../kit/shapes";
import { say } from "../kit/say";
import { Act, Sheet } from "../kit/sheet";
import { memory } from "../prefs";
import { useRole } from "../role";
import { entryLine } from "../place/history";
import { Who } from "./inspect";

export function SignScreen({ id }: { id: string }) {
  const v = useLive("state.part", { id }).value, covers = useLive("state.covers", { id }).value, status = useLive("state.sign-offs", { id }).value, entries = useLive("state.concerning", { id }).value;
  const role = useRole();
  const [remark, setRemark] = useState(""), [page, setPage] = useState<NewPhoto>(), [date, setDate] = useState(""), [no, setNo] = useState(""), [paper, setPaper] = useState(role !== "inspector"), [e, setE] = useState<unknown>();
  if (!v || !covers || !entries) return <Sheet title={w.sign.title} back={path("part", id)}><Waiting /></Sheet>;
  const who = memory.value?.inspector;
  const tags = new Map(v.places.map((p) => [p.location.id, p.location.tag]));
  const open = v.places.filter((p) => !p.location.out && p.location.verdict !== "within").length;
  const why = covers.covers.length === 0 ? w.sign.nothing : !who?.name.trim() ? w.inspect.needName : role !== "inspector" && !page ? w.inspect.needPaper : undefined;
  const sign = async (): Promise<void> => {
    try {
      await save([{ kind: "sign-off", project: v.project.id, part: id, data: { covers: covers.covers, digest: covers.digest, name: who!.name.trim(), ...(who!.number.trim() && { number: who!.number.trim() }), ...(remark.trim() && { remark: remark.trim() }), ...(page && { on_paper: { photo: page.hash, ...(date && { date }), ...(no && { page: no }) } }) } }], page ? { photos: [page] } : {});
      say(w.sign.saved);
    } catch (x) { setE(x); }
  };
  const byId = new Map(entries.map((x) => [x.id, x]));
  return (
    <Sheet title={w.sign.title} facts={[v.part.name, v.part.drawing].filter(Boolean).join(" · ")} back={path("part", id)} as="column" strip={<><Act to={path("part", id)}>{w.cancel}</Act><Act go icon="sign" why={why} act={() => void sign()}>{w.sign.sign}</Act></>}>
      <div class="pad stack">
        <Trouble e={e} />
        <h2 class="message">{w.sign.covers(covers.covers.length)}</h2><p>{w.sign.coversNote}</p>
        {open > 0 && <p class="caution">{w.sign.open(open)}</p>}
        <p class="note">{w.inspect.lookFirst}</p>
        <Field label={w.sign.remark} value={remark} set={setRemark} />
      </div>
      <Who builder={role !== "inspector"} paper={role !== "inspector" || paper} setPaper={setPaper} page={page} setPage={setPage} fail={setE} date={date} setDate={setDate} no={no} setNo={setNo} />
      {(v.part.sign_offs?.length ?? 0) > 0 && <><div class="head"><h2>{w.sign.earlier}</h2></div><ul class="rows">{[...v.part.sign_offs!].reverse().map((s) => {
        const st = status?.[s.entry], bad = st && (st.altered ? w.sign.altered : st.missing?.length ? w.sign.missing(st.missing.length) : st.since?.length ? w.sign.outdated(st.since.length, dayLong(s.at)) : "");
        return <li key={s.entry}><div class="row"><Icon i="sign" /><span class="what"><b>{s.name}</b>{s.number && ` ${s.number}`}<small>{dayLong(s.at)} · {w.sign.covers(s.covered).toLowerCase()}{s.on_paper && ` · ${w.inspect.paper.toLowerCase()}`}{s.remark && ` · ${s.remark}`}</small>{bad ? <small class="out"><b>{bad}</b></small> : <small>{w.sign.current}</small>}</span></div></li>;
      })}</ul></>}
      <details class="pad"><summary>{w.sign.list}</summary><ol class="rows">{covers.covers.map((x) => { const en = byId.get(x); return <li key={x}><div class="row"><span class="tag">{en?.location ? tags.get(en.location) : ""}</span><span class="what">{en ? entryLine(en).text : x}<small>{en && `${time(en.at)} · ${en.by} · `}{x.slice(0, 13)}</small></span></div></li>; })}</ol></details>
    </Sheet>
  );
}
