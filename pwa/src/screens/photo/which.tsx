// Which location a fastener of the photo is, where the pattern alone can't tell: one tap, the rest
// follow from the pattern. Nothing is preset.
import { useState } from "preact/hooks";
import type { Point } from "../../bridge/types";
import { w } from "../../words";
import { sentence } from "../kit/bits";
import { LayoutPicture, toPin } from "../kit/pins";
import { place } from "./hand";
import type { InWork } from "./usework";
import { toScreen, type View } from "./view";

/** The fasteners that are asked about, marked on the photo: one, or all where one of them is sought. */
export function askedAbout(k: InWork): number[] {
  const p = k.placed;
  if (!p || p.ask < 0) return [];
  return p.which ? p.is.flatMap((x, i) => (x.loc ? [] : [i])) : [p.ask];
}

export function AskedMarks({ k, view }: { k: InWork; view: View }) {
  const doc = k.doc!;
  return (
    <g class="ph-pencil" aria-hidden="true">
      {askedAbout(k).map((i) => {
        const l = doc.locations[i]!,
          [x, y] = toScreen(view, l.centre_px),
          r = Math.max(18, (l.radius_mm / (doc.scale?.mm_per_px ?? 1)) * view.s + 8);
        return (
          <>
            <circle class="halo" cx={x} cy={y} r={r} stroke-width="8" />
            <circle class="line" cx={x} cy={y} r={r} stroke-width="4" stroke-dasharray="10 6" />
          </>
        );
      })}
    </g>
  );
}

export function Which({ k }: { k: InWork }) {
  const p = k.placed!,
    v = k.view!,
    doc = k.doc!;
  const [near, setNear] = useState<string[]>();
  const tag = k.assigned[p.ask]?.tag ?? "";
  const say = (i: number, loc: string): void => {
    setNear(undefined);
    k.setHand(place(k.hand, doc.locations[i]!, { loc }));
  };
  const tell = (loc: string): void => say(p.ask, loc);
  const given = new Set(k.assigned.map((a) => a.loc)),
    kept = k.assigned.flatMap((a) => (a.loc && a.loc !== "none" ? [a.tag] : []));
  const free = v.places.map((x) => x.location).filter((l) => !l.out && !given.has(l.id));
  if (p.which) {
    const sought = v.places.find((x) => x.location.id === p.which)?.location.tag ?? "";
    return (
      <section class="pad stack which" aria-label={w.which.one(sought)}>
        <h2 class="message">{w.which.one(sought)}</h2>
        <p class="note">{w.which.oneNote}</p>
        <div class="tagcells">
          {askedAbout(k).map((i) => (
            <button type="button" class="btn" key={i} onClick={() => say(i, p.which!)}>
              {k.assigned[i]?.tag}
            </button>
          ))}
        </div>
      </section>
    );
  }
  const sayAll = (locs: string[]): void => {
    setNear(undefined);
    k.setHand(
      doc.locations.reduce(
        (h, l, i) => (k.assigned[i]?.loc === "" ? place(h, l, { loc: locs[i]! }) : h),
        k.hand,
      ),
    );
  };
  const tagOf = (loc: string): string =>
    v.places.find((x) => x.location.id === loc)?.location.tag ?? w.which.newOne;
  const likely = new Set(p.of);
  const pinned = free.some((l) => l.pin);
  const cells = near
    ? free.filter((l) => near.includes(l.id))
    : free.filter((l) => (pinned ? !l.pin : true));
  return (
    <section class="stack which" aria-label={w.which.title(tag)}>
      <div class="pad stack">
        <h2 class="message">{w.which.title(tag)}</h2>
        <p class="note">
          {p.unlike
            ? w.which.unlike
            : `${kept.length ? w.which.again(kept.join(", ")) : w.which.ringed} ${p.ways ? w.which.waysNote : w.which.note}`}
        </p>
        {p.hand && <p class="caution">{sentence(p.hand)}</p>}
        {p.ways && !near && (
          <div class="stack" role="group" aria-label={w.which.together}>
            {p.ways.map((locs) => (
              <button type="button" class="btn" key={locs.join()} onClick={() => sayAll(locs)}>
                {k.assigned
                  .flatMap((a, i) =>
                    a.loc === "" && locs[i] !== "none"
                      ? [w.which.is(a.tag.replace("?", ""), tagOf(locs[i]!))]
                      : [],
                  )
                  .join(", ")}
              </button>
            ))}
          </div>
        )}
      </div>
      {pinned && (
        <LayoutPicture
          layout={v.part.layout}
          behind={v.behind}
          pins={v.places
            .map((x) => x.location)
            .filter((l) => !l.out)
            .map((l) => ({ ...toPin(l), chosen: likely.has(l.id) }))}
          label={w.part.layoutName(v.part.name, v.places.length)}
          open={(ids) => {
            const left = ids.filter((id) => !given.has(id));
            if (left.length === 1) tell(left[0]!);
            else if (left.length > 1) setNear(left);
          }}
          most={260}
        />
      )}
      <div class="pad stack">
        {cells.length > 0 && (
          <div class="tagcells" role="group" aria-label={w.which.title(tag)}>
            {cells.map((l) => (
              <button type="button" class="btn" key={l.id} onClick={() => tell(l.id)}>
                {l.tag}
              </button>
            ))}
          </div>
        )}
        <div class="btns">
          <button type="button" class="btn" onClick={() => tell("new")}>
            {w.which.isNew(tag)}
          </button>
          {p.new && (
            <button
              type="button"
              class="btn"
              onClick={() => sayAll(doc.locations.map(() => "new"))}
            >
              {w.which.allNew}
            </button>
          )}
          <button type="button" class="btn" onClick={() => tell("none")}>
            {w.which.leave(tag)}
          </button>
        </div>
      </div>
    </section>
  );
}

/** The fastener of the photo that was pressed while one of several is sought. */
export function soughtAt(k: InWork, p: Point): number {
  const doc = k.doc!,
    px = 1 / (doc.scale?.mm_per_px ?? 1);
  return (
    askedAbout(k).find((i) => {
      const l = doc.locations[i]!;
      return (
        Math.hypot(l.centre_px[0] - p[0], l.centre_px[1] - p[1]) <
        Math.max(30, l.radius_mm * px * 1.6)
      );
    }) ?? -1
  );
}
