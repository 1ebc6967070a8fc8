// Which of the builder's tools has room at a hole of the photo, beside the standing leg: by a line that
// the photo shows or that was marked on it, while the hole can still be moved.
import { useEffect, useState } from "preact/hooks";
import type { Ask, LegFace, Told } from "../../bridge/types";
import { helpers } from "../../data/template";
import { path } from "../../router";
import { w } from "../../words";
import { shown } from "../hooks";
import { Select, sentence, Tick, Trouble } from "../kit/bits";
import { V } from "../kit/shapes";
import { units } from "../prefs";
import { place, plain, roomAt } from "./hand";
import type { InWork } from "./usework";

export function RoomAtLeg({ k, i }: { k: InWork; i: number }) {
  const { part, project, places, spec } = k.view!;
  const l = k.doc!.locations[i]!,
    plan = part.layout?.plan,
    bend = plan?.legs.find((x) => x.bend)?.bend,
    tools = project.tools ?? [];
  const pin = places.find((p) => p.location.id === k.assigned[i]?.loc)?.location.pin;
  const lines = l.readings.filter((r) => r.quantity === "edge_distance" && !r.layer);
  const [said, say] = useState<{ at: number; line: LegFace }>();
  const [told, tell] = useState<{ value?: Told<"room.photo">; error?: unknown }>({});
  const ask: Ask<"room.photo"> | undefined =
    bend && tools.length > 0
      ? {
          readings: plain(lines).map((r, n) => ({ ...r, per_mm_up: lines[n]!.per_mm_up ?? 0 })),
          at: -1,
          ...said,
          ...(plan && pin && part.layout
            ? {
                plan,
                place_mm: [
                  pin.x * (part.layout.width_mm ?? 0),
                  pin.y * (part.layout.height_mm ?? 0),
                ] as [number, number],
              }
            : {}),
          tools: tools.map(({ id: _, ...t }) => t),
          bend,
          ...(spec && { spec }),
          head: { diameter_mm: 0, height_mm: 0 },
          margin_mm: plan?.margin_mm ?? 0,
          units: units.value,
        }
      : undefined;
  const key = JSON.stringify(ask);
  useEffect(() => {
    if (!ask) return;
    let gone = false;
    helpers.call("room.photo", ask).then(
      (value) => {
        if (!gone) tell({ value });
      },
      (error: unknown) => {
        if (!gone) tell({ error });
      },
    );
    return () => {
      gone = true;
    };
  }, [key]);
  if (!bend) return null;
  const x = w.roomAtLeg,
    t = told.value,
    read = t && lines[t.at];
  const saidOf = (v: string): void => {
    const [at, line] = v.split("|");
    say({ at: Number(at), line: line as LegFace });
  };
  const note = t && x.note(shown(t.axis.value_mm, t.axis.U_mm).with_u, t.fits.map(of));
  return (
    <div class="pad stack">
      <h3>{x.title}</h3>
      {tools.length === 0 ? (
        <p>
          {x.noTools}{" "}
          <a class="link" href="/tools">
            {x.tools}
          </a>
        </p>
      ) : (
        <Select
          label={x.line}
          hint={read && !said ? x.proposed : x.lineHint}
          value={read ? `${t.at}|${t.line}` : ""}
          set={saidOf}
          of={[
            { value: "", text: lines.length ? x.none : x.noLine },
            ...lines.flatMap((r, at) =>
              (Object.keys(x.lines) as LegFace[]).map((line) => ({
                value: `${at}|${line}`,
                text: `${shown(r.value_mm, r.U_mm).with_u}: ${x.lines[line]}`,
              })),
            ),
          ]}
        />
      )}
      <Trouble e={told.error} />
      {read && (
        <>
          <p>{x.axis(shown(t.axis.value_mm, t.axis.U_mm).with_u)}</p>
          {t.axis.warnings?.map((said) => (
            <p class="note" key={said}>
              {sentence(said)}
            </p>
          ))}
          <ul class="bounds" role="status">
            {t.fits.map((f) => (
              <li key={f.tool.name}>
                <span class="at">
                  <b>{f.tool.name}</b>
                  <V v={f.verdict} />
                </span>
                {f.checks.map((c) => (
                  <p key={c.obstacle}>
                    {sentence(`${c.obstacle}: ${gap(c)}`)}{" "}
                    <small>{sentence(`${c.limit.source}; ${c.from}`)}</small>
                  </p>
                ))}
                {f.cures?.map((c) => (
                  <p key={c}>{sentence(c)}</p>
                ))}
              </li>
            ))}
          </ul>
          <Tick
            checked={roomAt(k.hand, l)?.note === note}
            set={(on) =>
              k.setHand(
                place(
                  k.hand,
                  l,
                  on
                    ? { room: { lineMM: read.value_mm, axis: t.axis, note: note! } }
                    : { room: undefined as never },
                ),
              )
            }
          >
            {x.keep}
          </Tick>
        </>
      )}
      <a class="link" href={path("part", part.id, "room")}>
        {x.more}
      </a>
    </div>
  );
}

type Fit = Told<"room.photo">["fits"][number];

const gap = (c: Fit["checks"][number]): string =>
  c.gap_mm < 0
    ? w.roomAtLeg.hits(shown(-c.gap_mm, c.U_mm).with_u)
    : w.roomAtLeg.gap(shown(c.gap_mm, c.U_mm).with_u, shown(c.need_mm).value);

/** What a tool came to, in a line. */
const of = (f: Fit): string =>
  `${f.tool.name} ${w.verdict[f.verdict]} (${f.checks.map((c) => `${c.obstacle} ${gap(c)}`).join(", ")})`;
