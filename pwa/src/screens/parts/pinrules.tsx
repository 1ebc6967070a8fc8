// What is said of pins while they are placed: those too near to each other or to the edge, by the
// limits in force; and where pins come from photos.
import { useState } from "preact/hooks";
import type { PartView, Pin } from "../../bridge/types";
import { save } from "../../data/entries";
import { w } from "../../words";
import { shown, useLive } from "../hooks";
import { Tick, Trouble } from "../kit/bits";

/** @param from the first of the pins that are being placed: others were settled before. */
export function TightPins({
  part,
  pins,
  tags,
  from,
}: {
  part: string;
  pins: Pin[];
  tags: string[];
  from: number;
}) {
  const told = useLive("tight", { part, pins }).value;
  const now = told?.tight.filter((t) => t.a >= from || t.b >= from) ?? [];
  return (
    <div role="status">
      {told && !told.scaled && pins.length > from && <p class="note">{w.layoutScreen.noScale}</p>}
      {now.length > 0 && (
        <div class="said bad">
          {now.slice(0, 5).map((t) => (
            <p key={`${t.a} ${t.b}`}>
              <b>
                {t.b < 0
                  ? w.layoutScreen.nearEdge(tags[t.a] ?? "", shown(t.mm).value, t.d)
                  : w.layoutScreen.nearPin(
                      tags[t.b] ?? "",
                      tags[t.a] ?? "",
                      shown(t.mm).value,
                      t.d,
                    )}
              </b>
              {` ${w.layoutScreen.atLeast(shown(t.limit.min_mm ?? 0).value)} ${t.basis}`}
            </p>
          ))}
          {now.length > 5 && <p>{w.layoutScreen.moreNear(now.length - 5)}</p>}
        </div>
      )}
    </div>
  );
}

export function FromPhotos({ v }: { v: PartView }) {
  const [e, setE] = useState<unknown>();
  const { layout } = v.part;
  return (
    <div class="pad stack">
      <p class="note">{w.layoutScreen.fromPhotos}</p>
      <Tick
        checked={layout?.all ?? false}
        set={(all) => {
          const { all: _, ...data } = layout!;
          save([
            {
              kind: "layout",
              project: v.project.id,
              part: v.part.id,
              data: { ...data, ...(all && { all }) },
            },
          ]).catch(setE);
        }}
      >
        {w.layoutScreen.noOthers}
      </Tick>
      <Trouble e={e} />
    </div>
  );
}
