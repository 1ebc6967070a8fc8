// What takes room on this phone and need not: originals that the laptop has, photos nobody saved.
import { useState } from "preact/hooks";
import { dropSentOriginals, type Room } from "../../data/storage";
import { w } from "../../words";
import { megabytes } from "../hooks";
import { Trouble } from "./bits";
import { say } from "./say";
import { Unsaved } from "./unsaved";

export function Free({ r, freed }: { r: Room; freed?: (() => void) | undefined }) {
  const [e, setE] = useState<unknown>();
  const drop = async (): Promise<void> => {
    try {
      say(w.unsentScreen.dropped(await dropSentOriginals()));
      freed?.();
    } catch (x) {
      setE(x);
    }
  };
  return (
    <>
      {r.droppable.photos > 0 && (
        <div class="btns">
          <button type="button" class="btn" onClick={() => void drop()}>
            {w.unsentScreen.drop(r.droppable.photos, megabytes(r.droppable.bytes))}
          </button>
        </div>
      )}
      <Unsaved />
      <Trouble e={e} />
    </>
  );
}
