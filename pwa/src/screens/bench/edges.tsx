// Each layer has an edge: how far every location is from it, and what was filed.
import { useState } from "preact/hooks";
import { save } from "../../data/entries";
import { path } from "../../router";
import { w } from "../../words";
import { bw } from "../../words/bench";
import { ow } from "../../words/order";
import { shown, useLive } from "../hooks";
import { Field, Select, Tick, Trouble } from "../kit/bits";
import { say } from "../kit/say";
import { V } from "../kit/shapes";
import { Act, Sheet } from "../kit/sheet";
import { Opening } from "../kit/opening";

export function EdgesScreen({ id }: { id: string }) {
  const view = useLive("state.part", { id });
  const v = view.value;
  const layers = useLive("layers", { id }).value;
  const [edge, setEdge] = useState(""),
    [layer, setLayer] = useState(""),
    [near, setNear] = useState<Set<string>>(new Set()),
    [e, setE] = useState<unknown>();
  const l = ow.edges;
  if (!v || !layers) return <Opening title={l.title} back={path("part", id)} error={view.error} />;
  const all = v.places.map((p) => p.location).filter((x) => !x.out);
  const names = [...new Set(Object.values(layers).flatMap((x) => x.map((y) => y.layer)))];
  const keep = async (): Promise<void> => {
    try {
      await save(
        [...near].map((location) => ({
          kind: "filed" as const,
          project: v.project.id,
          part: id,
          location,
          data: { edge: edge.trim(), ...(layer && { layer }) },
        })),
      );
      say(l.saved);
      setNear(new Set());
      setEdge("");
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
          <Act to={path("part", id)}>{w.back}</Act>
          <Act
            go
            icon="save"
            why={edge.trim() && near.size ? undefined : l.need}
            act={() => void keep()}
          >
            {l.save(near.size)}
          </Act>
        </>
      }
    >
      {all.length === 0 && <p class="pad">{l.noPlaces}</p>}
      {all.map((x) => (
        <div key={x.id}>
          <div class="head">
            <h2>{x.tag}</h2>
            <a class="link" href={path("location", x.id, "gauge")}>
              {l.gauge}
            </a>
          </div>
          <ul class="bounds">
            {(layers[x.id] ?? []).map((y) => (
              <li key={y.layer}>
                <span class="at">
                  <span>{y.layer || l.seen}</span>
                  {y.reading ? <V v={y.verdict ?? ""} /> : <span class="note">{l.none}</span>}
                </span>
                {y.reading && (
                  <small>
                    {shown(y.reading.value_mm, y.reading.U_mm).with_u}, {w.how[y.reading.how]}
                    {y.limit_mm && `; ${l.atLeast(shown(y.limit_mm).value)}`}
                  </small>
                )}
              </li>
            ))}
          </ul>
        </div>
      ))}
      <div class="head">
        <h2>{l.filed}</h2>
      </div>
      <div class="pad stack">
        <p class="note">{l.filedNote}</p>
        <Field label={l.edge} hint={l.edgeHint} value={edge} set={setEdge} />
        {names.length > 1 && (
          <Select
            label={l.layer}
            value={layer}
            set={setLayer}
            of={names.map((n) => ({ value: n, text: n || l.seen }))}
          />
        )}
        <div role="group" aria-label={l.holes}>
          <p class="label">{l.holes}</p>
          {all.map((x) => (
            <Tick
              key={x.id}
              checked={near.has(x.id)}
              set={(on) => {
                const n = new Set(near);
                if (on) n.add(x.id);
                else n.delete(x.id);
                setNear(n);
              }}
            >
              {x.tag}
            </Tick>
          ))}
        </div>
        <Trouble e={e} />
      </div>
      <p class="pad note">{bw.caution}</p>
    </Sheet>
  );
}
