// A finding on its photo, with outline and dimensions, drawn again from what the record keeps.
import { useState } from "preact/hooks";
import type {
  Came,
  Crop,
  DrawLook,
  Entry,
  KnownEntry,
  LocationView,
  Place,
} from "../../bridge/types";
import { pieceOf } from "../../data/pieces";
import { w } from "../../words";
import { findingOf, nowAt, ofKind } from "../finding";
import { usePicture, usePiece } from "../hooks";
import { PhotoView } from "./photoview";
import { Planned, useScene } from "./planned";

type Finding = Extract<KnownEntry, { kind: "finding" }>;

/** What of a shot is drawn: a finding with its dimensions, and those beside it. */
export interface Drawn {
  hash: string;
  photo: { w: number; h: number };
  piece: Crop;
  looks: DrawLook[];
  tag: string;
}

export function shotOf(entries: Entry[], id: string | undefined) {
  return ofKind(entries, "shot").find((s) => s.id === id)?.data;
}

/** What is drawn for the finding that stands at a location, of all entries of its part; undefined where its places are not kept. */
export function drawnOf(
  entries: Entry[],
  places: Place[],
  came: Record<string, Came>,
  v: LocationView,
): Drawn | undefined {
  const all = ofKind(entries, "finding"),
    now = nowAt(v),
    one = findingOf(v, now),
    shot = shotOf(entries, one?.data.shot);
  const piece = one && pieceOf(one.data),
    at = one?.data.places;
  if (!now || !one || !shot || !piece || !at) return undefined;
  const over = new Set(entries.flatMap((e) => e.supersedes ?? []));
  const beside = all.filter(
    (f) => f.id !== one.id && f.data.shot === one.data.shot && f.data.places && !over.has(f.id),
  );
  const by = new Map(places.map((p) => [p.location.id, p.location]));
  const lookOf = (f: Finding): DrawLook => {
    const l = by.get(f.location ?? "");
    return {
      places: f.data.places!,
      spec: f.data.spec,
      readings: f.data.readings ?? [],
      // What the hand gauge settled has no verdict's colour any more; values are written as they were
      // judged. Those beside it have none.
      checks: f === one ? now.checks : [],
      judged: f.data.result.checks ?? [],
      // Where the finding is the one that stands, later hand readings have their say.
      whole: (l?.finding === f.id ? l.whole : undefined) ?? came[f.id]?.whole ?? "",
    };
  };
  return {
    hash: shot.photo,
    photo: { w: at.width_px, h: at.height_px },
    piece,
    looks: [one, ...beside].map(lookOf),
    tag: by.get(one.location ?? "")?.tag ?? "?",
  };
}

/** The button that makes a photo larger. */
export const ZoomButton = ({ zoom, set }: { zoom: number; set: (z: number) => void }) => (
  <button type="button" class="corner" onClick={() => set(zoom === 4 ? 1 : zoom * 2)}>
    <small>{w.result.zoom}</small>
    <br />
    {zoom === 1 ? w.result.fit : `${zoom} ×`}
  </button>
);

export function FindingPhoto({ d, class: cls }: { d: Drawn; class: string }) {
  const url = usePicture(d.hash, "original"),
    sharp = usePiece(d.hash, d.piece);
  const [zoom, setZoom] = useState(1);
  const scene = useScene(() => ({ looks: d.looks, tags: [d.tag] }), [JSON.stringify(d)]);
  if (url === null && sharp === null)
    return (
      <div class={`photo ${cls}`}>
        <p class="words">{w.photoGone}</p>
      </div>
    );
  return (
    <PhotoView
      class={cls}
      url={url ?? undefined}
      sharp={sharp ? { url: sharp, ...d.piece } : undefined}
      photo={d.photo}
      frame={d.piece}
      zoom={zoom}
      label={w.result.alt(d.tag)}
      ink={(view, size, covered) => (
        <Planned scene={scene} chosen={0} view={view} size={size} covered={covered} />
      )}
      over={() => <ZoomButton zoom={zoom} set={setZoom} />}
    />
  );
}
