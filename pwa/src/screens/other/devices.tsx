// Devices, reports and exports: kept and made on the laptop, shown while it is in reach.
import { useEffect, useState } from "preact/hooks";
import { handOver } from "../../capture/files";
import { route } from "../../router";
import { Refusal, type Device, type Problem } from "../../sync/api";
import { unsent } from "../../sync/sync";
import { w } from "../../words";
import { time, useLive } from "../hooks";
import { Choice, Trouble, upper, Waiting } from "../kit/bits";
import { Act, Sheet } from "../kit/sheet";
import { currentProject } from "../parts/current";
import { fractions, units } from "../prefs";

async function ask<T>(url: string, init?: RequestInit): Promise<T> {
  const r = await fetch(url, { cache: "no-store", ...init });
  if (r.headers.get("Content-Type")?.startsWith("application/problem+json")) throw new Refusal((await r.json()) as Problem);
  if (!r.ok || !r.headers.get("Content-Type")?.startsWith("application/json")) throw new Error("away");
  return (await r.json()) as T;
}

export function DevicesScreen() {
  const [list, set] = useState<Device[]>(), [away, setAway] = useState(false), [e, setE] = useState<unknown>(), [sure, setSure] = useState<string>();
  const d = w.devices;
  const load = (): void => void ask<{ devices: Device[] }>("/api/devices").then((x) => set(x.devices), (x: unknown) => (x instanceof Refusal ? setE(x) : setAway(true)));
  useEffect(load, []);
  const off = async (id: string): Promise<void> => {
    try { await fetch(`/api/devices/${id}/revoke`, { method: "POST" }); setSure(undefined); load(); } catch { setAway(true); }
  };
  return (
    <Sheet title={d.title} facts={d.facts} back="/settings" as="column" strip={<Act go act={load}>{w.unsentScreen.tryNow}</Act>}>
      {away && <div class="pad stack"><h2 class="message">{w.exports.away}</h2><p>{d.away}</p></div>}
      {e instanceof Refusal ? <div class="said bad" role="alert"><p><b>{upper(e.problem.title)}</b></p><p>{e.problem.do}</p></div> : <Trouble e={e} />}
      {!list && !away && !e && <Waiting />}
      <ul class="rows">{list?.map((x) => <li key={x.id}><div class="row"><span class="what"><b>{x.name}</b><small>{[x.owner ? d.owner : x.role === "inspector" ? d.inspector : d.builder, x.this ? d.this : "", x.revoked_at ? d.off(time(x.revoked_at)) : x.seen_at ? d.seen(time(x.seen_at)) : ""].filter(Boolean).join(" · ")}</small></span>
        {!x.this && !x.revoked_at && (sure === x.id ? <button type="button" class="btn" onClick={() => void off(x.id)}>{d.takeOffSure}</button> : <button type="button" class="link" onClick={() => setSure(x.id)} aria-label={`${d.takeOff}: ${x.name}`}>{d.takeOff}</button>)}</div></li>)}</ul>
      <div class="pad stack"><p class="note">{d.inviteNote}</p><p><a class="link" href="/laptop">{d.openLaptop}</a></p></div>
    </Sheet>
  );
}

export function ExportsScreen() {
  const x = w.exports;
  const [list, set] = useState<{ name: string; title: string; media: string }[]>(), [away, setAway] = useState(false), [busy, setBusy] = useState<string>(), [e, setE] = useState<unknown>();
  const project = currentProject(useLive("state.projects", {}).value);
  const parts = useLive("state.parts", { id: project?.id ?? "" }).value ?? [];
  const [part, setPart] = useState<string>(route.value.query.get("part") ?? "");
  const [paper, setPaper] = useState<"a4" | "letter">("a4");
  useEffect(() => { if (project) setPaper(project.paper); }, [project?.id]);
  const load = (): void => { setAway(false); void ask<{ exports: { name: string; title: string; media: string }[] }>("/api/exports").then((r) => set(r.exports), () => setAway(true)); };
  useEffect(load, []);
  const get = async (name: string): Promise<void> => {
    setBusy(name);
    setE(undefined);
    try {
      const q = new URLSearchParams({ paper, units: fractions.value ? "fractions" : units.value, ...(part ? { part } : project ? { project: project.id } : {}) });
      const r = await fetch(`/api/exports/${name}?${q}`, { cache: "no-store" });
      if (!r.ok) throw r.headers.get("Content-Type")?.startsWith("application/problem+json") ? new Refusal((await r.json()) as Problem) : new Error(String(r.status));
      const file = /filename="?([^";]+)/.exec(r.headers.get("Content-Disposition") ?? "")?.[1] ?? name;
      await handOver(file, await r.blob());
    } catch (err) {
      if (err instanceof TypeError) setAway(true);
      else setE(err);
    } finally { setBusy(undefined); }
  };
  return (
    <Sheet title={x.title} facts={x.facts} back="/parts" as="column" doing={busy ? { what: busy, share: 0.4 } : undefined} strip={<Act go act={load}>{w.unsentScreen.tryNow}</Act>}>
      {away && <div class="pad stack"><h2 class="message">{x.away}</h2><p>{x.awayNote}</p></div>}
      {unsent.value.entries > 0 && !away && <p class="pad caution">{x.unsent(unsent.value.entries)}</p>}
      {e instanceof Refusal ? <div class="said bad" role="alert"><p><b>{upper(e.problem.title)}</b></p><p>{e.problem.do}</p></div> : <Trouble e={e} />}
      <div class="pad stack">
        <Choice rows label={w.part.title} value={part} set={setPart} of={[{ value: "", text: x.whole }, ...parts.map((p) => ({ value: p.part.id, text: p.part.name }))]} />
        <Choice<"a4" | "letter"> label={x.paper} value={paper} set={setPaper} of={[{ value: "a4", text: w.cards.a4 }, { value: "letter", text: w.cards.letter }]} />
      </div>
      {!list && !away && <Waiting />}
      {list?.length === 0 && <p class="pad">{x.none}</p>}
      <ul class="rows">{list?.map((k) => <li key={k.name}><button type="button" class="row" aria-disabled={busy ? "true" : undefined} onClick={() => { if (!busy) void get(k.name); }}><span class="what"><b>{k.title}</b><small>{k.name}</small></span><span class="link">{x.get}</span></button></li>)}</ul>
      <p class="pad note">{x.note}</p>
    </Sheet>
  );
}
