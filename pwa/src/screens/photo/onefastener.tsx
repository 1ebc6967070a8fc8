// One fastener of a photo: its checks, and the location that it is kept for.
import { w } from "../../words";
import { sizeName } from "../finding";
import { handbook } from "../hooks";
import { sentence, upper } from "../kit/bits";
import { standsAs, V } from "../kit/shapes";
import { HandTold } from "./allfasteners";
import { Checks } from "./checks";
import { place } from "./hand";
import { RoomAtLeg } from "./roomatleg";
import type { InWork } from "./usework";
import { StandsOn } from "./views";

export function One({ k, i }: { k: InWork; i: number }) {
  const l = k.doc!.locations[i]!,
    j = k.judged[i],
    h = handbook();
  // What the photos themselves say is to be done goes before what settles it in general.
  const of = j ?? l,
    s = { ...of, missing: of.missing.map((m) => l.missing.find((x) => x.what === m.what) ?? m) };
  const a = k.assigned[i];
  const place_ = k.view!.places.find((p) => p.location.id === a?.loc);
  const other = place_?.spec && Math.abs(place_.spec.nominal_mm - k.doc!.spec.nominal_mm) > 0.011;
  return (
    <>
      <HandTold k={k} />
      {l.ask ? (
        <div class="check stack">
          <h2>{upper(l.ask.text)}</h2>
          <p>{sentence(l.ask.do)}</p>
        </div>
      ) : (
        <>
          <div class="row">
            <V v={s.whole} n={s.missing.length} />
          </div>
          <Checks
            s={s}
            readings={[...l.readings, ...(j?.planned ?? [])]}
            tag={(n) => k.assigned[n]?.tag ?? "?"}
            notes={[...new Set([...(j?.result.notes ?? []), ...(l.notes ?? [])])]}
          />
          {k.doc!.spec.kind === "hole" && <RoomAtLeg k={k} i={i} />}
        </>
      )}
      <StandsOn k={k} l={l} />
      {other && (
        <p class="pad caution">
          {w.result.otherSpec(a!.tag, sizeName(place_.spec!.nominal_mm, h?.solid, h?.pulled) ?? "")}
        </p>
      )}
      <div class="pad">
        <PlaceSelect k={k} i={i} />
      </div>
    </>
  );
}

function PlaceSelect({ k, i }: { k: InWork; i: number }) {
  const l = k.doc!.locations[i]!,
    a = k.assigned[i];
  if (!a) return null;
  const elsewhere = new Set(k.assigned.filter((_, n) => n !== i).map((x) => x.loc));
  const set = (loc: string): void => k.setHand(place(k.hand, l, { loc }));
  return (
    <div class="field">
      <span>
        <label for="where-is">{w.result.places}</label>
      </span>
      <select id="where-is" value={a.loc} onChange={(e) => set(e.currentTarget.value)}>
        {a.loc === "" && (
          <option value="" selected>
            {w.result.placeAsk}
          </option>
        )}
        {k
          .view!.places.filter((p) => !p.location.out)
          .map((p) => (
            <option
              value={p.location.id}
              selected={a.loc === p.location.id}
              disabled={elsewhere.has(p.location.id)}
            >
              {p.location.tag}, {standsAs(p.location.whole, p.location.not_read, p.location.stage)}
            </option>
          ))}
        <option value="new" selected={a.loc === "new"}>
          {w.result.placeNew(a.loc === "new" ? a.tag : "")}
        </option>
        <option value="none" selected={a.loc === "none"}>
          {w.result.placeNone}
        </option>
      </select>
      <small>{w.result.placesNote}</small>
    </div>
  );
}
