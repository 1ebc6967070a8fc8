// A photo is thrown away, after it was asked once more.
import { w } from "../../words";

export function Discard(p: { sure: boolean; set: (v: boolean) => void; act: () => Promise<void> }) {
  if (!p.sure)
    return (
      <p>
        <button class="link" type="button" onClick={() => p.set(true)}>
          {w.result.discard}
        </button>
      </p>
    );
  return (
    <div class="said bad">
      <p>{w.result.discardSure}</p>
      <div class="btns">
        <button class="btn" type="button" onClick={() => p.set(false)}>
          {w.cancel}
        </button>
        <button class="btn" type="button" onClick={() => void p.act()}>
          {w.result.discardYes}
        </button>
      </div>
    </div>
  );
}
