// Which screen stands at which address.
import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import { isSample, setting, whenBlocked } from "../data/db";
import { go, route } from "../router";
import { newVersion, loadNew } from "../sw/updates";
import { w } from "../words";
import { Trouble, Waiting } from "./kit/bits";
import { say } from "./kit/say";
import { Act, Sheet } from "./kit/sheet";
import { CardNew, CardsScreen } from "./other/cards";
import { PairScreen } from "./other/pair";
import { SampleScreen } from "./other/sample";
import { StartScreen } from "./other/start";
import { PartEdit, ProjectEdit } from "./parts/edit";
import { LayoutScreen } from "./parts/layout";
import { LimitsScreen } from "./parts/limits";
import { PartMoreScreen, PartScreen } from "./parts/part";
import { PartsScreen } from "./parts/parts";
import { ResultScreen } from "./photo/result";
import { SnapScreen } from "./photo/snap";
import { WaitingPhotos } from "./photo/waiting";
import { memory, readMemory } from "./prefs";
import { more } from "./routes";

whenBlocked(() => say(w.otherTab));

export function App(): JSX.Element {
  const [ready, setReady] = useState(false), [e, setE] = useState<unknown>();
  useEffect(() => {
    Promise.all([readMemory(), setting("identity")]).then(([m, me]) => {
      // The icon opens at the last part, one tap from the next photo.
      if (route.peek().path.length === 0) go(!me?.ready && !isSample() ? "/start" : m.part ? `/part/${m.part}` : "/parts", { replace: true });
      setReady(true);
    }, setE);
  }, []);
  const p = route.value.path;
  const key = p.join("/");
  useEffect(() => {
    if (!ready) return;
    const main = document.querySelector<HTMLElement>(".main");
    main?.scrollTo(0, 0);
    if (document.activeElement === document.body || !document.activeElement?.isConnected) main?.focus({ preventScroll: true });
  }, [key, ready]);
  if (!ready) return <Sheet title={w.start.title} cell={{ label: w.unsent, value: "–" }}>{e ? <Trouble e={e} /> : <Waiting />}</Sheet>;
  return <><Screen p={p} key={key} />{newVersion.value && p[0] !== "photo" && p[2] !== "snap" && <Update />}</>;
}

function Update() {
  return <aside class="update" aria-label={w.loadNew}><span>{w.newVersion}</span><button class="link" type="button" onClick={loadNew}>{w.loadNew}</button></aside>;
}

function Screen({ p }: { p: string[] }): JSX.Element {
  const [a = "", b = "", c = ""] = p;
  switch (a) {
    case "": case "parts": return <PartsScreen />;
    case "start": return <StartScreen />;
    case "pair": return <PairScreen />;
    case "sample": return <SampleScreen leave={b === "leave"} />;
    case "cards": return b === "new" ? <CardNew /> : <CardsScreen />;
    case "project": return b === "new" || !b ? <ProjectEdit /> : <ProjectEdit id={b} />;
    case "photos": return <WaitingPhotos />;
    case "photo": return <ResultScreen id={b} />;
    case "snap": return memory.value?.part ? <SnapScreen part={memory.value.part} /> : <PartsScreen />;
    case "part":
      if (b === "new" || !b) return <PartEdit />;
      switch (c) {
        case "": return <PartScreen id={b} />;
        case "snap": return <SnapScreen part={b} />;
        case "layout": return <LayoutScreen id={b} />;
        case "limits": return <LimitsScreen id={b} />;
        case "edit": return <PartEdit id={b} />;
        case "more": return <PartMoreScreen id={b} />;
      }
  }
  return more(p) ?? <Sheet title={w.nothingHere} back="/parts" strip={<Act go to="/parts">{w.toParts}</Act>}><p class="pad">{w.nothingHereDo}</p></Sheet>;
}
