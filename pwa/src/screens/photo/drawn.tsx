// A finding on its photo, with outline and dimensions, drawn again from what the record keeps.
import { useState } from "preact/hooks";
import type {
  Came,
  Camera,
  Check,
  Crop,
  Entry,
  KnownEntry,
  LocationView,
  PhotoLocation,
  PhotoReading,
  Place,
  Whole,
} from "../../bridge/types";
import { pieceOf } from "../../data/pieces";
import { w } from "../../words";
import { findingOf, nowAt, ofKind } from "../finding";
import { shown, usePicture, usePiece } from "../hooks";
import { fractions } from "../prefs";
import { plan } from "./dims";
import { Ink } from "./ink";
import { PhotoView } from "./photoview";

type Finding = Extract<KnownEntry, { kind: "finding" }>;

/** What of a shot is drawn: all findings on it, one of them chosen. */
export interface Drawn {
  hash: string;
  photo: { w: number; h: number };
  piece: Crop;
  camera: Camera;
  locations: PhotoLocation[];
  said: Check[];
  verdicts: (Whole | "")[];
  tags: string[];
  chosen: number;
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
    one = findingOf(v, nowAt(v)),
    shot = shotOf(entries, one?.data.shot);
  const piece = one && pieceOf(one.data),
    at = one?.data.places;
  if (!one || !shot || !piece || !at) return undefined;
  const over = new Set(entries.flatMap((e) => e.supersedes ?? []));
  const on = all.filter(
    (f) => f.data.shot === one.data.shot && f.data.places && (f.id === one.id || !over.has(f.id)),
  );
  const by = new Map(places.map((p) => [p.location.id, p]));
  return {
    hash: shot.photo,
    photo: { w: at.width_px, h: at.height_px },
    piece,
    camera: at.camera,
    chosen: on.findIndex((f) => f.id === one.id),
    // What the hand gauge settled has no verdict's colour any more; values are written as they were judged.
    locations: on.map((f) => {
      const p = by.get(f.location ?? ""),
        now = nowAt(v),
        check = p?.location.finding === f.id ? p.now?.check : undefined;
      return {
        ...located(f, on),
        ...(f.id === one.id && now
          ? { checks: now.checks, governing: now.governing }
          : check && { checks: [check], governing: 0 }),
      };
    }),
    said: on.flatMap((f) => f.data.result.checks ?? []),
    tags: on.map((f) => by.get(f.location ?? "")?.location.tag ?? "?"),
    // Where the finding is the one that stands, later hand readings have their say.
    verdicts: on.map((f) => {
      const l = by.get(f.location ?? "")?.location;
      return (l?.finding === f.id ? l.whole : undefined) ?? came[f.id]?.whole ?? "";
    }),
  };
}

function located(f: Finding, on: Finding[]): PhotoLocation {
  const p = f.data.places!;
  const readings = (f.data.readings ?? []).map((r, i): PhotoReading => {
    const s = p.spans?.find((x) => x.reading === i),
      to =
        s?.to_px &&
        on.findIndex(
          (o) =>
            Math.hypot(
              o.data.places!.centre_px[0] - s.to_px![0],
              o.data.places!.centre_px[1] - s.to_px![1],
            ) < 3,
        );
    return {
      ...r,
      ...(s?.edge_px && { edge_px: s.edge_px }),
      ...(s?.to_px && { to_px: s.to_px }),
      ...(to !== undefined && to >= 0 && { to }),
    };
  });
  return {
    what: f.data.spec.kind,
    dash: "",
    nominal_mm: f.data.spec.nominal_mm,
    centre_px: p.centre_px,
    sheet_mm: p.sheet_mm,
    radius_mm: p.radius_mm,
    outline_px: p.outline_px ?? null,
    probability: 1,
    clear: 1,
    verdict: "",
    whole: "",
    headline: "",
    readings,
    checks: f.data.result.checks ?? [],
    governing: -1,
    rows: [],
    missing: [],
    shown: null,
    said: [],
  };
}

/** How a reading is written on a photo: with the U of the decision, as the list has it. */
export function inkText(checks: Check[]): (r: PhotoReading, withU: boolean) => string {
  return (r, withU) => {
    const c = checks.find(
      (x) => x.reading.quantity === r.quantity && x.reading.value_mm === r.value_mm,
    );
    const s = shown(r.value_mm, c?.U_mm ?? r.U_mm);
    if (fractions.value) return s.fraction;
    return withU ? s.with_u.replace(/ (mm|in)$/, "") : s.number;
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
  if (url === null && sharp === null)
    return (
      <div class={`photo ${cls}`}>
        <p class="words">{w.photoGone}</p>
      </div>
    );
  const text = inkText(d.said);
  return (
    <PhotoView
      class={cls}
      url={url ?? undefined}
      sharp={sharp ? { url: sharp, ...d.piece } : undefined}
      photo={d.photo}
      frame={d.piece}
      zoom={zoom}
      label={w.result.alt(d.tags[d.chosen] ?? "")}
      ink={(view, size) => (
        <Ink
          plan={plan({
            locations: d.locations,
            verdicts: d.verdicts,
            tags: d.tags,
            camera: d.camera,
            view,
            size,
            chosen: d.chosen,
            text,
          })}
        />
      )}
      over={() => <ZoomButton zoom={zoom} set={setZoom} />}
    />
  );
}
