// In which order rivets are set: pinned, or proposed from the middle outwards.
import { useState } from "preact/hooks";
import { save } from "../../data/entries";
import { path } from "../../router";
import { bw } from "../../words/bench";
import { ow } from "../../words/order";
import { useLive } from "../hooks";
import { Field, Line, sentence, Trouble } from "../kit/bits";
import { say } from "../kit/say";
import { Act, Sheet } from "../kit/sheet";
import { Opening } from "../kit/opening";

export function OrderScreen({ id }: { id: string }) {
  const view = useLive("state.part", { id }),
    v = view.value;
  const live = useLive("order", { id });
  const o = live.value;
  const [rows, setRows] = useState<string[]>(),
    [every, setEvery] = useState<string>(),
    [source, setSource] = useState<string>(),
    [e, setE] = useState<unknown>();
  const l = ow.order;
  if (!v || !o)
    return <Opening title={l.title} back={path("part", id)} error={view.error ?? live.error} />;
  const ids = rows ?? o.rows.map((r) => r.location);
  const now = new Map(o.rows.map((r) => [r.location, r]));
  const each = every ?? (o.check_every ? String(o.check_every) : "");
  const whole = !each.trim() || /^\s*\d{1,4}\s*$/.test(each);
  const keep = async (): Promise<void> => {
    try {
      const said = (source ?? (o.proposed ? "" : o.source)).trim();
      await save([
        {
          kind: "order",
          project: v.project.id,
          part: id,
          data: {
            locations: ids,
            ...(Number(each) > 0 && { check_every: Number(each) }),
            ...(said && { source: said }),
          },
        },
      ]);
      say(l.saved);
      setRows(undefined);
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
        <>
          <Act to={path("part", id, "shape")}>{bw.shape.new}</Act>
          <Act
            go
            icon="save"
            why={!ids.length ? l.none : whole ? undefined : l.number}
            act={() => void keep()}
          >
            {l.save}
          </Act>
        </>
      }
    >
      <div role="status">
        {o.warnings.map((x) => (
          <p class="pad caution" key={x}>
            {sentence(x)}
          </p>
        ))}
      </div>
      <p class="pad note">{o.proposed ? l.proposed : `${l.pinned}: ${o.source}.`}</p>
      {ids.length === 0 && <p class="pad">{l.none}</p>}
      <ol class="rows">
        {ids.map((k, i) => {
          const r = now.get(k);
          return (
            r && (
              <Line
                key={k}
                what={
                  <>
                    {i + 1}. {r.tag}
                    {r.set && <small>{l.set}</small>}
                    {(Number(each) > 0 ? (i + 1) % Number(each) === 0 : r.check) && (
                      <small>{l.check}</small>
                    )}
                  </>
                }
              >
                {i > 0 && (
                  <button
                    type="button"
                    class="btn"
                    aria-label={l.up(r.tag)}
                    onClick={() => {
                      const n = [...ids];
                      [n[i - 1], n[i]] = [n[i]!, n[i - 1]!];
                      setRows(n);
                    }}
                  >
                    ↑
                  </button>
                )}
              </Line>
            )
          );
        })}
      </ol>
      <div class="pad stack">
        <Field
          label={l.every}
          mode="numeric"
          value={each}
          set={setEvery}
          hint={l.everyHint}
          wrong={whole ? undefined : l.number}
        />
        <Field
          label={l.source}
          value={source ?? (o.proposed ? "" : o.source)}
          set={setSource}
          hint={l.sourceHint}
        />
        <Trouble e={e} />
      </div>
      <p class="pad note">{bw.caution}</p>
    </Sheet>
  );
}
