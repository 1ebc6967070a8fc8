// Like parts: one made from another, as it is or mirrored; the first article; left and right side by side.
import { useState } from "preact/hooks";
import type { Family } from "../../bridge/types";
import { save } from "../../data/entries";
import { book } from "../../data/book";
import { go, path } from "../../router";
import { w } from "../../words";
import { ow } from "../../words/order";
import { useLive } from "../hooks";
import { Choice, Field, sentence, Trouble } from "../kit/bits";
import { say } from "../kit/say";
import { V } from "../kit/shapes";
import { Act, Sheet } from "../kit/sheet";
import { useRole } from "../role";
import { Opening } from "../kit/opening";

export function LikeScreen({ id }: { id: string }) {
  const view = useLive("state.part", { id }),
    v = view.value;
  const live = useLive("family", { id });
  const f = live.value;
  const builder = useRole() !== "inspector";
  const [hand, setHand] = useState<"same" | "mirrored">("mirrored"),
    [typed, setTyped] = useState<string>(),
    [drawing, setDrawing] = useState(""),
    [e, setE] = useState<unknown>();
  const l = ow.like;
  if (!v || !f)
    return <Opening title={l.title} back={path("part", id)} error={view.error ?? live.error} />;
  const name = (typed ?? (hand === "mirrored" ? f.other_hand : "")).trim();
  const make = async (): Promise<void> => {
    try {
      const drafts = await book.call("like", {
        part: id,
        name,
        drawing: drawing.trim(),
        mirrored: hand === "mirrored",
      });
      const [made] = await save(drafts);
      say(l.made(name));
      go(path("part", made!.id));
    } catch (x) {
      setE(x);
    }
  };
  return (
    <Sheet
      title={l.title}
      facts={v.part.name}
      back={path("part", id)}
      as="column"
      strip={
        builder ? (
          <>
            <Act to={path("part", id)}>{w.back}</Act>
            <Act go icon="save" why={name ? undefined : l.need} act={() => void make()}>
              {l.save}
            </Act>
          </>
        ) : (
          <Act go to={path("part", id)}>
            {w.part.title}
          </Act>
        )
      }
    >
      {f.parts.length > 1 && (
        <>
          <First f={f} />
          <Matrix f={f} />
        </>
      )}
      {builder && (
        <>
          <div class="head">
            <h2>{l.make}</h2>
          </div>
          <div class="pad stack">
            <Choice<"same" | "mirrored">
              label={l.hand}
              value={hand}
              set={setHand}
              of={[
                { value: "mirrored", text: l.mirrored },
                { value: "same", text: l.same },
              ]}
            />
            <Field
              label={l.name}
              value={typed ?? (hand === "mirrored" ? f.other_hand : "")}
              set={setTyped}
            />
            <Field label={l.drawing} value={drawing} set={setDrawing} />
            <p class="note">{l.note}</p>
            {f.parts.length === 1 && f.waits.length > 0 && <p class="caution">{l.firstNote}</p>}
            <Trouble e={e} />
          </div>
        </>
      )}
    </Sheet>
  );
}

function First({ f }: { f: Family }) {
  const l = ow.like;
  return (
    <>
      <div class="head">
        <h2>
          {l.first}: {f.parts[0]!.name}
        </h2>
      </div>
      {f.waits.length === 0 ? (
        <p class="pad">{l.firstDone}</p>
      ) : (
        <div class="pad stack">
          <p class="caution">{l.firstNote}</p>
          <p class="note">
            {l.waits}: {sentence(f.waits.join("; "))}
          </p>
        </div>
      )}
    </>
  );
}

function Matrix({ f }: { f: Family }) {
  const l = ow.like;
  return (
    <>
      <div class="head">
        <h2>{l.matrix}</h2>
      </div>
      <div class="wide" tabIndex={0} role="region" aria-label={l.scrolls}>
        <table class="figs">
          <thead>
            <tr>
              <th scope="col" class="nowrap">
                {l.row}
              </th>
              {f.parts.map((p) => (
                <th scope="col" key={p.id}>
                  <a class="link" href={path("part", p.id)}>
                    {p.name}
                  </a>
                  {p.mirrored && <small>{l.mirrored}</small>}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {f.rows.map((r) => (
              <tr key={`${r.name} ${r.shape ?? ""}`}>
                <th scope="row">{r.name}</th>
                {r.cells.map((c) => (
                  <td>
                    {c.location ? (
                      <a href={path("location", c.location)}>
                        <V v={c.whole} n={c.not_read ?? 0} stage={c.stage} />
                      </a>
                    ) : c.whole ? (
                      <V v={c.whole} />
                    ) : (
                      (c.text ?? "–")
                    )}
                  </td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </>
  );
}
