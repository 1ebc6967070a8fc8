// Which screen stands at which address.
import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import { changed } from "../data/changes";
import { isSample, whenBlocked } from "../data/db";
import { go, route } from "../router";
import { hasJoined } from "../sync/join";
import { newVersion, loadNew } from "../sw/updates";
import { w } from "../words";
import { notHere } from "./hooks";
import { Trouble, Waiting } from "./kit/bits";
import { hush, say } from "./kit/say";
import { Act, Sheet } from "./kit/sheet";
import { StartScreen } from "./start/start";
import { readMemory } from "./prefs";
import { identity, isBuilders, readIdentity, useRole } from "./role";
import { groupOf, readGroup } from "./routes";

whenBlocked(() => say(w.otherTab));

/** @param standing told once when the first screen is drawn, or can't be. */
export function App({ standing }: { standing: () => void }): JSX.Element {
  const [ready, setReady] = useState(false),
    [e, setE] = useState<unknown>();
  useEffect(() => {
    Promise.all([readMemory(), readIdentity()])
      .then(([m, me]) => {
        // The icon opens at the last part, one tap from the next photo; for an inspector at what waits.
        if (route.peek().path.length === 0)
          go(
            !me?.ready && !isSample()
              ? "/start"
              : me?.role === "inspector"
                ? "/inspect"
                : m.part
                  ? `/part/${m.part}`
                  : "/parts",
            { replace: true },
          );
        setReady(true);
      })
      .catch(setE)
      .finally(standing);
  }, []);
  const p = route.value.path;
  const key = p.join("/");
  useEffect(() => {
    if (!ready) return;
    if (p[0] === "photo") hush(); // what was said of the photo before is not said of this one
    const main = document.querySelector<HTMLElement>(".main");
    main?.scrollTo(0, 0);
    if (document.activeElement === document.body || !document.activeElement?.isConnected)
      main?.focus({ preventScroll: true });
  }, [key, ready]);
  if (!ready)
    return (
      <Sheet title={w.start.title} cell={{ label: w.unsent, value: "–" }}>
        {e ? <Trouble e={e} /> : <Waiting />}
      </Sheet>
    );
  return (
    <>
      {isSample() && (
        <aside class="update samplemark" aria-label={w.sample.bar}>
          {w.sample.mark}
        </aside>
      )}
      <Screen p={p} key={key} />
      {newVersion.value && p[0] !== "photo" && p[2] !== "snap" && <Update />}
    </>
  );
}

function Update() {
  return (
    <aside class="update" aria-label={w.loadNew}>
      <span>{w.newVersion}</span>
      <button class="link" type="button" onClick={loadNew}>
        {w.loadNew}
      </button>
    </aside>
  );
}

function Screen({ p }: { p: string[] }): JSX.Element {
  const [e, setE] = useState<unknown>();
  const first = p[0] === "start",
    group = first ? undefined : groupOf(p);
  useEffect(() => {
    if (!first && !group) readGroup(p).catch(setE);
  }, [first, group]);
  const role = useRole();
  if (first) return <StartScreen />;
  if (role === "inspector" && isBuilders(p))
    return (
      <Sheet
        title={w.inspect.builders}
        back="/inspect"
        strip={
          <Act go to="/inspect">
            {w.inspect.toDecide}
          </Act>
        }
      >
        <p class="pad">{w.inspect.buildersDo}</p>
      </Sheet>
    );
  if (
    !identity.value?.ready &&
    !isSample() &&
    !hasJoined() &&
    isBuilders(p) &&
    p.join("/") !== "cards"
  )
    return (
      <Sheet
        title={w.start.pairFirst}
        back="/start"
        strip={
          <>
            <Act to="/sample">{w.start.sample}</Act>
            <Act go to="/pair">
              {w.start.pair}
            </Act>
          </>
        }
      >
        <p class="pad">{w.start.pairFirstDo}</p>
      </Sheet>
    );
  if (!group)
    return (
      <Sheet title={w.start.title} cell={{ label: w.unsent, value: "–" }}>
        {e ? <Trouble e={e} /> : <Waiting />}
      </Sheet>
    );
  const lacks = notHere.value;
  return (
    (lacks?.id === p[1] && lacks?.at === changed.value ? undefined : group(p)) ?? (
      <Sheet
        title={w.nothingHere}
        back="/parts"
        strip={
          <Act go to="/parts">
            {w.toParts}
          </Act>
        }
      >
        <p class="pad">{w.nothingHereDo}</p>
      </Sheet>
    )
  );
}
