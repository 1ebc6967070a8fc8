// What the short forms about one location share: what they are about, saving, the way back.
import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import type { Draft, LocationView } from "../../bridge/types";
import { save, type NewPhoto } from "../../data/entries";
import { back, go, path } from "../../router";
import { w } from "../../words";
import { useLive } from "../hooks";
import { Trouble } from "../kit/bits";
import { say } from "../kit/say";
import { Act, Sheet, type Cell } from "../kit/sheet";
import { Opening } from "../kit/opening";

export function Form({
  id,
  title,
  why,
  make,
  photos,
  words,
  then,
  cell,
  children,
}: {
  id: string;
  title: (v: LocationView) => string;
  why: string | undefined;
  make: (v: LocationView) => Promise<Draft[]> | Draft[];
  photos?: NewPhoto[];
  words: string;
  then?: (v: LocationView) => string;
  cell?: Cell;
  children: (v: LocationView) => ComponentChildren;
}) {
  const live = useLive("state.location", { id });
  const [e, setE] = useState<unknown>();
  const v = live.value,
    home = path("location", id);
  if (!v) return <Opening title={w.history.title} back={home} error={live.error} />;
  const keep = async (): Promise<void> => {
    try {
      await save(await make(v), photos ? { photos } : {});
      say(words);
      if (then) go(then(v), { replace: true });
      else back(home);
    } catch (x) {
      setE(x);
    }
  };
  return (
    <Sheet
      title={title(v)}
      facts={[v.location.tag, v.part.name].join(" · ")}
      back={home}
      as="column"
      cell={cell}
      strip={
        <>
          <Act to={home}>{w.cancel}</Act>
          <Act go icon="save" why={why} act={() => void keep()}>
            {w.save}
          </Act>
        </>
      }
    >
      <div class="pad stack">
        <Trouble e={e} />
        {children(v)}
      </div>
    </Sheet>
  );
}

export const about = (v: LocationView) => ({
  project: v.project.id,
  part: v.part.id,
  location: v.location.id,
});
