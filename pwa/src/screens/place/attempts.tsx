// The measurements of a location side by side.
import type { Look, LocationView, Summary } from "../../bridge/types";
import { pieceOf } from "../../data/pieces";
import { w } from "../../words";
import { findingOf, isDiameter } from "../finding";
import { day } from "../dates";
import { useLive } from "../hooks";
import { Num } from "../kit/bits";
import { V } from "../kit/shapes";
import { shotOf } from "../photo/drawn";
import { CropView } from "./crop";

export function Attempts({ v }: { v: LocationView }) {
  const shots = useLive("state.concerning", { id: v.part.id }).value ?? [];
  if (v.looks.length === 0) return null;
  return (
    <div class="crops" role="group" aria-label={w.history.measured} tabIndex={0}>
      {v.looks.slice(-6).map((k) => (
        <Figure k={k} v={v} shots={shots} key={k.entries[0]} />
      ))}
    </div>
  );
}

/** The picture of a measurement. */
export function LookCrop({
  k,
  v,
  shots,
}: {
  k: Look;
  v: LocationView;
  shots: LocationView["entries"];
}) {
  const first = v.entries.find((e) => e.id === k.entries[0]),
    f = findingOf(v, k),
    shot = shotOf(shots, f?.data.shot),
    own = v.own[k.entries[0]!],
    at = first ? day(first.at) : "";
  return (
    <CropView
      hash={shot?.photo ?? (f?.data.shot && "")}
      crop={f?.data.crop}
      width={shot?.width_px}
      from={f && pieceOf(f.data)}
      alt={`${v.location.tag}, ${own?.whole ? w.headline(own.whole, own.missing.length) : w.notJudged}, ${at}`}
    />
  );
}

function Figure({ k, v, shots }: { k: Look; v: LocationView; shots: LocationView["entries"] }) {
  const first = v.entries.find((e) => e.id === k.entries[0]),
    own = v.own[k.entries[0]!];
  return (
    <figure>
      <figcaption class="label">
        {k.spec.mark ? w.stage.marked : k.spec.kind === "hole" ? w.history.hole : k.attempt} ·{" "}
        {first ? day(first.at) : ""}
      </figcaption>
      <LookCrop k={k} v={v} shots={shots} />
      {own && <Stands s={own} />}
      {k.entries.length > 1 && (
        <>
          <small class="block">{w.history.gauged}</small>
          <Stands s={k} />
        </>
      )}
    </figure>
  );
}

/** A reading, what it is of, and how it stands. */
const Stands = ({ s }: { s: Summary }) => (
  <div>
    {s.shown && (
      <>
        <Num mm={s.shown.value_mm} u={s.shown.U_mm} d={isDiameter(s.shown.quantity)} />{" "}
        <small>{w.quantityShort[s.shown.quantity]}</small>
        <br />
      </>
    )}
    <V v={s.whole} n={s.missing.length} />
  </div>
);
