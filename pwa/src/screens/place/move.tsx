// A finding that was saved at the wrong location is put to the right one, as entries.
import { useState } from "preact/hooks";
import type { LocationView } from "../../bridge/types";
import { book } from "../../data/book";
import { save } from "../../data/entries";
import { go, path } from "../../router";
import { w } from "../../words";
import { useLive } from "../hooks";
import { Select, Trouble } from "../kit/bits";
import { say } from "../kit/say";

export function Move({ finding, v }: { finding: string; v: LocationView }) {
  const [to, setTo] = useState<string>();
  const [e, setE] = useState<unknown>();
  const others = (useLive("state.part", { id: v.part.id }).value?.places ?? [])
    .map((p) => p.location)
    .filter((l) => !l.out && l.id !== v.location.id);
  if (others.length === 0) return null;
  if (to === undefined)
    return (
      <button type="button" class="link" onClick={() => setTo("")}>
        {w.history.move(v.location.tag)}
      </button>
    );
  const tag = others.find((l) => l.id === to)?.tag;
  const act = async (): Promise<void> => {
    try {
      await save(await book.call("move", { finding, to }));
      say(w.history.moved(tag!));
      go(path("location", to));
    } catch (x) {
      setE(x);
    }
  };
  return (
    <>
      <Select
        label={w.history.moveTo}
        value={to}
        set={setTo}
        of={[{ value: "", text: w.choose }, ...others.map((l) => ({ value: l.id, text: l.tag }))]}
      />
      <p class="note">{w.history.moveNote}</p>
      <Trouble e={e} />
      <div class="btns">
        <button type="button" class="btn" onClick={() => setTo(undefined)}>
          {w.cancel}
        </button>
        <button
          type="button"
          class="btn"
          aria-disabled={!tag}
          onClick={() => {
            if (tag) void act();
          }}
        >
          {w.history.moveHere(tag)}
        </button>
      </div>
    </>
  );
}
