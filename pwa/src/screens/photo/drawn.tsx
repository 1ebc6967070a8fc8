// A finding on its photo, with outline and dimensions, drawn again from what the record keeps.
import { useState } from "preact/hooks";
import type { Crop, DrawLook, Entry, KnownEntry, Location } from "../../bridge/types";
import { pieceOf } from "../../data/pieces";
import { w } from "../../words";
import { deciding, findings, ofKind, standing, worst } from "../finding";
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

/** What is drawn for a finding, of all entries of its part; undefined where its places are not kept. */
export function drawnOf(entries: Entry[], places: Location[], finding: string): Drawn | undefined {
  const all = ofKind(entries, "finding"),
    one = all.find((f) => f.id === finding),
    shot = shotOf(entries, one?.data.shot);
  const piece = one && pieceOf(one.data),
    at = one?.data.places;
  if (!one || !shot || !piece || !at) return undefined;
  const over = new Set(entries.flatMap((e) => e.supersedes ?? []));
  const beside = all.filter(
    (f) => f !== one && f.data.shot === one.data.shot && f.data.places && !over.has(f.id),
  );
  const known = findings(entries),
    by = new Map(places.map((l) => [l.id, l]));
  const lookOf = (f: Finding): DrawLook => {
    const l = by.get(f.location ?? ""),
      judged = f.data.result.checks ?? [],
      stands = l?.finding === f.id;
    return {
      places: f.data.places!,
      spec: f.data.spec,
      readings: f.data.readings ?? [],
      judged,
      // What the hand gauge settled has no verdict's colour any more.
      checks: stands ? (standing(l, known)?.checks ?? []) : judged,
      // Where the finding is the one that stands, later hand readings have their say.
      verdict:
        (stands ? l.verdict : undefined) ??
        worst([deciding(judged)?.verdict, f.data.answers_verdict]),
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
