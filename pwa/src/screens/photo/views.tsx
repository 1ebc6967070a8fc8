// Several photos of one place, measured together: one more is offered, each is shown, and what they
// changed.
import type { Document, PhotoLocation } from "../../bridge/types";
import { path } from "../../router";
import { w } from "../../words";
import { shown } from "../hooks";
import { sentence } from "../kit/bits";
import { Icon } from "../kit/shapes";
import type { InWork } from "./usework";

/** The first offer of a result in which not all is decided. */
export function OneMore({ k, undecided }: { k: InWork; undecided: boolean }) {
  const next = k.doc?.next;
  if (!undecided || !next || k.doing) return null;
  return (
    <div class="pad stack onemore">
      <a class="btn" href={`${path("part", k.view!.part.id, "snap")}?more=${k.draft!.id}`}>
        <span class={`way from-${next.from}`}>
          <Icon i="back" />
        </span>
        {w.result.from(w.snapScreen.go[next.from])}
      </a>
      <p class="note">{w.result.fromNote(next.tilt_deg)}</p>
    </div>
  );
}

/** The documents of the photos that count, with their numbers. */
export const shownViews = (k: InWork): { n: number; doc: Document; hash: string }[] =>
  (k.draft?.joined?.documents ?? []).flatMap((d, i) =>
    d ? [{ n: i + 1, doc: i === 0 ? k.doc! : d, hash: k.draft!.joined!.photos[i]!.sha256! }] : [],
  );

/** One tab for each photo, over the picture. */
export function ViewTabs({ k, at, set }: { k: InWork; at: number; set: (view: number) => void }) {
  const all = shownViews(k);
  if (all.length < 2) return null;
  return (
    <div class="viewtabs" role="group" aria-label={w.result.views}>
      {all.map((x, i) => (
        <button type="button" key={i} aria-pressed={at === i} onClick={() => set(i)}>
          {w.result.view(x.n)}
        </button>
      ))}
    </div>
  );
}

/** What is said of the photos as a whole. */
export function AboutViews({ k }: { k: InWork }) {
  const { more, joined } = k.draft!;
  if (!more || k.doing) return null;
  if (!joined) return <p class="pad note">{w.result.apart}</p>;
  return (
    <div class="pad">
      <p>
        <b>{w.result.standsOn(shownViews(k).length, joined.photos.length)}</b>
      </p>
      {joined.photos.map(
        (p, i) =>
          p.left_out && (
            <p class="note">
              {w.result.leftOut(i + 1, p.left_out.text)} {sentence(p.left_out.do)}
            </p>
          ),
      )}
    </div>
  );
}

/** On how many photos one fastener stands, and what U was before and is now. */
export function StandsOn({ k, l }: { k: InWork; l: PhotoLocation }) {
  const looks = l.photos;
  if (!looks || !k.draft?.joined) return null;
  const numberOf = (name: string): number =>
    k.draft!.joined!.photos.findIndex((p) => p.name === name) + 1;
  const u = (mm: number): string => shown(0, mm).with_u.split(" ± ")[1] ?? "";
  return (
    <div class="pad stack standson">
      <p>
        <b>{w.result.standsOn(looks.filter((x) => x.used).length, k.draft.joined.photos.length)}</b>
      </p>
      {looks.map(
        (x) => !x.used && x.why && <p class="note">{w.result.leftOut(numberOf(x.photo), x.why)}</p>,
      )}
      {l.readings.length > 0 && (
        <>
          <p class="label">{w.result.before}</p>
          <div class="two-col">
            {l.readings.map((r) => (
              <span>
                <span>{w.quantity[r.quantity]}</span>
                <b>
                  {r.alone_U_mm ? u(r.alone_U_mm) : w.result.notAlone} → {u(r.U_mm)}
                </b>
              </span>
            ))}
          </div>
        </>
      )}
      {l.flat_tilt && (
        <p class="note">
          {w.result.flatTilt(l.flat_tilt.deg.toFixed(1), l.flat_tilt.U_deg.toFixed(1))}
        </p>
      )}
    </div>
  );
}
