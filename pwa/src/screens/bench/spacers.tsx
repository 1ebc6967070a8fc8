// What spacers imposed, what was kept, and what to impose on the next frame.
import type { PartView } from "../../bridge/types";
import { path } from "../../router";
import { w } from "../../words";
import { bw } from "../../words/bench";
import { shown } from "../hooks";
import { Field, sentence, Trouble } from "../kit/bits";
import { Act, Sheet } from "../kit/sheet";
import { useAsk, useKept } from "./form";
import { signed } from "./numbers";

export function SpacerForm({ v, done }: { v: PartView; done: () => void }) {
  const l = bw.shape;
  const released = v.part.shapes?.filter((s) => s.stands && s.state === "released").at(-1);
  const [d, set] = useKept(`spacers ${v.part.id}`, {
    s: ["", "0", "0", "0"],
    kept: released ? String(released.result.value) : "",
    u: released ? String(Math.round(released.result.U * 1000) / 1000) : "0.45",
    target: released?.target_mm === undefined ? "" : String(released.target_mm),
  });
  const n = [...d.s, d.kept, d.u, d.target].map(signed);
  const told = useAsk(
    "keep",
    n.some(Number.isNaN)
      ? undefined
      : {
          spacers_mm: [n[0]!, n[1]!, n[2]!, n[3]!],
          released_mm: n[4]!,
          U_mm: n[5]!,
          target_mm: n[6]!,
        },
  );
  const k = told.value;
  const field = (label: string, value: string, put: (x: string) => void) => (
    <Field
      label={label}
      unit="mm"
      value={value}
      set={put}
      wrong={value.trim() && Number.isNaN(signed(value)) ? l.number : undefined}
    />
  );
  return (
    <Sheet
      title={l.spacersTitle}
      facts={v.part.name}
      back={path("part", v.part.id)}
      as="column"
      strip={
        <Act go act={done}>
          {w.done}
        </Act>
      }
    >
      <div role="status">
        {k && (
          <div class="answer">
            <b>{l.next(shown(k.next_mm, k.next_U_mm).with_u)}</b>
            <span class="label">{l.share(k.share.toFixed(3), k.share_U.toFixed(3))}</span>
            <p>{sentence(k.note)}</p>
          </div>
        )}
      </div>
      <div class="pad stack">
        <p class="note">{l.spacersNote}</p>
        <Trouble e={told.error} />
        <div class="two">
          {d.s.map((s, i) =>
            field(l.spacer(i + 1), s, (x) =>
              set({ ...d, s: d.s.map((o, j) => (j === i ? x : o)) }),
            ),
          )}
          {field(l.kept, d.kept, (kept) => set({ ...d, kept }))}
          {field(l.keptU, d.u, (u) => set({ ...d, u }))}
          {field(l.nextTarget, d.target, (target) => set({ ...d, target }))}
        </div>
      </div>
    </Sheet>
  );
}
