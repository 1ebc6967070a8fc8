// The inspector's screen: what waits for a decision, one after the other, with all that was seen.
import { useEffect, useState } from "preact/hooks";
import type { Disposition, Location } from "../../bridge/types";
import { book } from "../../data/book";
import { changed } from "../../data/changes";
import { save, type NewPhoto } from "../../data/entries";
import { go, path } from "../../router";
import { w } from "../../words";
import { findings } from "../finding";
import { useLive } from "../hooks";
import { Empty, Field, FileButton, Tick, Trouble, Waiting } from "../kit/bits";
import { Icon } from "../kit/shapes";
import { say } from "../kit/say";
import { Act, Sheet } from "../kit/sheet";
import { memory, remember } from "../prefs";
import { useRole } from "../role";
import { MainStrip } from "../mainstrip";
import { Attempts } from "../place/history";
import { newPhoto } from "../place/acts";
import { Checks } from "../photo/checks";
import { currentProject } from "../parts/current";

interface Waits { l: Location; part: string }

function useAwaiting(): { list: Waits[] | undefined; parts: { id: string; name: string; confirmed: number }[] } {
  const projects = useLive("state.projects", {}).value, project = currentProject(projects);
  const [s, set] = useState<ReturnType<typeof useAwaiting>>({ list: undefined, parts: [] });
  const n = changed.value;
  useEffect(() => {
    if (!projects) return;
    if (!project) return set({ list: [], parts: [] });
    let gone = false;
    void (async () => {
      const parts = await book.call("state.parts", { id: project.id });
      const list: Waits[] = [];
      for (const p of parts) {
        if (!p.counts.awaits) continue;
        for (const x of (await book.call("state.part", { id: p.part.id })).places) if (x.location.awaits) list.push({ l: x.location, part: p.part.name });
      }
      if (!gone) set({ list, parts: parts.map((p) => ({ id: p.part.id, name: p.part.name, confirmed: p.counts.confirmed ?? 0 })) });
    })();
    return () => { gone = true; };
  }, [project?.id, n, !!projects]);
  return s;
}

export function InspectScreen({ at }: { at: string }) {
  const { list, parts } = useAwaiting();
  const role = useRole();
  const who = memory.value?.inspector;
  const i = Math.max(0, list?.findIndex((x) => x.l.id === at) ?? 0);
  const id = at || list?.[0]?.l.id;
  const v = useLive("state.location", { id: id ?? "" }).value;
  const [mode, setMode] = useState<Disposition>(), [reason, setReason] = useState(""), [paper, setPaper] = useState(role !== "inspector"), [page, setPage] = useState<NewPhoto>(), [date, setDate] = useState(""), [no, setNo] = useState(""), [e, setE] = useState<unknown>();
  const title = w.inspect.title, cell = { label: w.inspect.waiting, value: list?.length ?? "–" };
  if (!list) return <Sheet title={title} back="/parts" cell={cell} strip={<MainStrip here="inspect" />}><Waiting /></Sheet>;
  const signs = <><div class="head"><h2>{w.inspect.parts}</h2></div><ul class="rows">{parts.map((p) => <li key={p.id}><a class="row" href={path("part", p.id, "sign")}><span class="what">{p.name}<small>{w.inspect.confirmed(p.confirmed)}</small></span><Icon i="next" /></a></li>)}</ul></>;
  if (!id || !v?.location.finding) return <Sheet title={title} back="/parts" cell={cell} as="column" strip={<MainStrip here="inspect" />}><Empty title={w.inspect.none}><p>{w.inspect.noneNote}</p></Empty>{signs}</Sheet>;
  const f = findings(v.entries).get(v.location.finding);
  const name = who?.name ?? "", number = who?.number ?? "";
  const onPaper = role !== "inspector" || paper;
  const why = !name.trim() ? w.inspect.needName : mode && mode !== "confirmed" && !reason.trim() ? w.inspect.needReason : onPaper && role !== "inspector" && !page ? w.inspect.needPaper : undefined;
  const decide = async (answer: Disposition): Promise<void> => {
    try {
      await save([{ kind: "decision", project: v.project.id, part: v.part.id, location: v.location.id, data: { finding: v.location.finding!, answer, name: name.trim(), ...(number.trim() && { number: number.trim() }), ...(reason.trim() && { reason: reason.trim() }), ...(page && { on_paper: { photo: page.hash, ...(date && { date }), ...(no && { page: no }) } }) } }], page ? { photos: [page] } : {});
      say(w.inspect.saved(v.location.tag));
      setMode(undefined);
      setReason("");
      const next = list[i + 1] ?? list.find((x) => x.l.id !== v.location.id);
      go(next ? path("inspect", next.l.id) : "/inspect", { replace: true });
    } catch (x) { setE(x); }
  };
  const form = mode !== undefined || !name || role !== "inspector";
  return (
    <Sheet title={title} facts={name ? `${name}${number ? `, ${number}` : ""}` : v.project.name} back="/parts" cell={cell} as="column"
      strip={mode && mode !== "confirmed" ? <><Act act={() => setMode(undefined)}>{w.cancel}</Act><Act go why={why} act={() => void decide(mode)}>{mode === "rejected" ? w.inspect.reject : w.inspect.again}</Act></>
        : <><Act act={() => setMode("rejected")}>{w.inspect.reject}</Act><Act act={() => setMode("re-measure")}>{w.inspect.again}</Act><Act go why={why} act={() => void decide("confirmed")}>{w.inspect.confirm}</Act></>}>
      <div class="head"><button type="button" class="link" aria-label={w.inspect.prev} disabled={i === 0} onClick={() => go(path("inspect", list[i - 1]!.l.id), { replace: true })}><Icon i="back" /></button>
        <span><b>{v.location.tag}, {v.part.name}</b> <small>{list.length > 0 && w.inspect.of(i + 1, list.length)}{v.part.drawing && ` · ${v.part.drawing}`}</small></span>
        <button type="button" class="link" aria-label={w.next} disabled={i >= list.length - 1} onClick={() => go(path("inspect", list[i + 1]!.l.id), { replace: true })}><Icon i="next" /></button></div>
      <Trouble e={e} />
      {mode && mode !== "confirmed" && <div class="pad"><Field area label={w.inspect.reason} value={reason} set={setReason} /></div>}
      <Attempts v={v} />
      {f && <Checks checks={f.data.result.checks ?? []} readings={f.data.readings ?? []} verdict="" notes={f.data.result.notes} unread={f.data.result.unread} />}
      <p class="pad note">{w.inspect.lookFirst} {w.cautionPhoto}</p>
      {form && <Who paper={onPaper} builder={role !== "inspector"} page={page} setPage={(p) => setPage(p)} fail={setE} date={date} setDate={setDate} no={no} setNo={setNo} setPaper={setPaper} />}
      <p class="pad"><a class="link" href={path("location", v.location.id)}>{w.history.title}</a></p>
      {signs}
    </Sheet>
  );
}

interface WhoProps { paper: boolean; builder: boolean; page: NewPhoto | undefined; setPage: (p: NewPhoto) => void; fail: (e: unknown) => void; date: string; setDate: (v: string) => void; no: string; setNo: (v: string) => void; setPaper: (v: boolean) => void }

/** Name and number as the inspector types them; on paper, with the photo of the page. */
export function Who(p: WhoProps) {
  const who = memory.value?.inspector ?? { name: "", number: "" };
  return (
    <div class="pad stack">
      <h2>{w.inspect.who}</h2>
      <div class="two"><Field label={w.inspect.name} value={who.name} auto="name" set={(name) => remember({ inspector: { ...who, name } })} /><Field label={w.inspect.number} value={who.number} set={(number) => remember({ inspector: { ...who, number } })} /></div>
      {p.builder ? <p class="note">{w.inspect.paperNote}</p> : <Tick checked={p.paper} set={p.setPaper}>{w.inspect.paper}</Tick>}
      {p.paper && <><FileButton files={(f) => void newPhoto(f[0]!).then(p.setPage, p.fail)}>{w.inspect.paperPhoto}{p.page ? `: ${p.page.hash.slice(0, 8)}` : ""}</FileButton><div class="two"><Field label={w.inspect.paperDate} value={p.date} set={p.setDate} /><Field label={w.inspect.paperPage} value={p.no} set={p.setNo} /></div></>}
    </div>
  );
}
