// From the work in hand to entries: new locations, the shot, a finding for each fastener.
import type {
  Document,
  Draft,
  Mark,
  MeasureOptions,
  PhotoReading,
  Point,
  Reading,
  Target,
} from "../../bridge/types";
import { book } from "../../data/book";
import { save } from "../../data/entries";
import { photo } from "../../data/photos";
import { askToPersist } from "../../data/storage";
import { eye } from "../../eye";
import { w as words } from "../../words";
import { placedAt, plain, roomAt, specFor } from "./hand";
import { dist, middle, placedOutlines } from "./handles";
import type { InWork } from "./usework";

const at = (p: Point): { x: number; y: number } => ({ x: p[0], y: p[1] });

/** What was placed by hand, so that the reading can be had again. */
export function marksOf(o: MeasureOptions | undefined): Mark[] {
  return [
    ...placedOutlines(o).map((x): Mark => ({ what: "outline", points_px: x.sides.map(at) })),
    ...(o?.edges ?? []).map((x): Mark => ({ what: "edge", points_px: x.map(at) })),
    ...(o?.two_points
      ? [
          {
            what: "scale",
            points_px: [at(o.two_points.a), at(o.two_points.b)],
            length_mm: o.two_points.mm,
          } as Mark,
        ]
      : []),
    ...(o?.round
      ? [
          {
            what: "round thing",
            points_px: [at(o.round.at)],
            length_mm: o.round.diameter_mm,
          } as Mark,
        ]
      : []),
    ...(o?.taps ?? []).map((x): Mark => ({ what: "centre", points_px: [at(x)] })),
  ];
}

/** A shot's own data: of the draft's first photo, or of another as it was measured. */
async function shotData(
  w: InWork,
  locations: string[],
  refused?: string,
  hash = w.draft!.photo,
  of: Partial<Pick<Document, "width" | "height" | "scale" | "taken">> | undefined = w.doc,
) {
  const row = await photo(hash);
  if (!row) throw new Error("the photo is not on this phone");
  return {
    photo: row.hash,
    bytes: row.bytes,
    media: row.media,
    locations,
    ...(of?.width && of.height && { width_px: of.width, height_px: of.height }),
    ...(w.hand.card && of?.scale?.from === "card" && { calibration: w.hand.card }),
    ...(of?.scale?.layout && { layout: of.scale.layout }),
    ...(of?.taken && { taken_at: of.taken }),
    ...(w.doc?.camera && hash === w.draft!.photo && { camera: w.doc.camera }),
    ...(refused && { refused }),
  };
}

/**
 * The shots of a place: the photo that was measured, and those that were measured together with it.
 * One that is left out is kept with the reason.
 */
async function shots(w: InWork, locations: string[]) {
  const { draft } = w,
    joined = draft!.joined;
  const out = [await shotData(w, locations)];
  for (const [i, hash] of (draft!.more ?? []).entries()) {
    const part = joined?.photos[i + 1];
    const why = part ? part.left_out?.code : "measured-alone";
    out.push(await shotData(w, why ? [] : locations, why, hash, part ?? {}));
  }
  return {
    shots: out,
    /** What the finding at a location says of them; the first shot's entry has this number. */
    views: (l: number, first: number) =>
      joined?.views?.[l]?.map(({ photo, ...v }) => ({ shot: `@${first + photo}`, ...v })),
  };
}

/** Gives pitches that the photo read the neighbour that they go to, where it has a location. */
function naming(read: PhotoReading[], neighbours: Map<number, Target>): (r: Reading) => Reading {
  return (r) => {
    const to = read.find(
        (x) => x.quantity === r.quantity && x.value_mm === r.value_mm && x.U_mm === r.U_mm,
      )?.to,
      of = to === undefined ? undefined : neighbours.get(to);
    return of ? { ...r, of } : r;
  };
}

/** Gives a part that nobody pinned its pins from the places that its photos measured. */
async function layOut(part: string): Promise<void> {
  const pins = await book.call("lay", { id: part });
  if (pins.length > 0) await save(pins);
}

/** Saves all that has a location. Gives the tags that go on the work list. */
export async function saveWork(w: InWork): Promise<{ tags: string[] }> {
  const { doc, view, draft } = w;
  if (!doc || !view || !draft) throw new Error("nothing is measured");
  const about = { project: view.project.id, part: view.part.id };
  const kept = doc.locations
    .map((l, i) => ({ l, a: w.assigned[i]!, j: w.judged[i] }))
    .filter((k) => k.a.loc !== "none" && k.j && !k.l.ask);
  const drafts: Draft[] = [];
  const ids = kept.map((k) => {
    if (k.a.loc !== "new") return k.a.loc;
    drafts.push({ kind: "location", ...about, data: { tag: k.a.tag } });
    return `@${drafts.length - 1}`;
  });
  const neighbours = new Map(
    kept.map((k, n): [number, Target] => [
      doc.locations.indexOf(k.l),
      { location: ids[n]!, name: k.a.tag },
    ]),
  );
  const seen = kept.map((k) =>
    (placedAt(w.hand, k.l)?.answers ?? []).filter((x) => x.seen !== "not looked" || x.note),
  );
  const covers = words.result.lookCovers(
    kept.filter((_, i) => seen[i]!.length > 0).map((k) => k.a.tag),
  );
  const first = drafts.length,
    shot = `@${first}`,
    taken = await shots(w, ids);
  for (const data of taken.shots) drafts.push({ kind: "shot", ...about, data });
  // Marks that lie where the outline was measured anyhow changed nothing.
  const marks = marksOf({
    ...draft.options!,
    outlines: placedOutlines(draft.options).filter((o) =>
      doc.locations.some(
        (l) => l.hand && dist(middle(o.sides), l.centre_px) < l.radius_mm / doc.scale!.mm_per_px,
      ),
    ),
  });
  const places = await eye.call("places", doc);
  const viewsOf = (l: number) => {
    const views = taken.views(l, first);
    return views && { views };
  };
  kept.forEach((k, i) => {
    const drawn = places[doc.locations.indexOf(k.l)];
    const place = view.places.find((p) => p.location.id === k.a.loc);
    const r =
      Math.max(
        60,
        ...(k.l.outline_px ?? []).map((p) =>
          Math.hypot(p[0] - k.l.centre_px[0], p[1] - k.l.centre_px[1]),
        ),
      ) * 1.9;
    // What the look covered is said once for each location.
    const answers = seen[i]!.map((x, n) =>
      covers && n === 0 && !x.note ? { ...x, note: covers } : x,
    );
    const named = naming(k.l.readings, neighbours),
      result = k.j!.result,
      room = roomAt(w.hand, k.l);
    drafts.push({
      kind: "finding",
      ...about,
      location: ids[i]!,
      data: {
        shot,
        spec: specFor(place?.spec ?? view.spec!, w.hand.what),
        readings: [
          ...plain(k.l.readings).map(named),
          ...k.j!.planned,
          ...(room ? plain([room.axis]) : []),
        ],
        result: {
          ...result,
          ...(room && { notes: [...(result.notes ?? []), room.note] }),
          checks: result.checks?.map((c) => ({ ...c, reading: named(c.reading) })) ?? null,
        },
        method: doc.method,
        ...(answers.length > 0 && {
          answers,
          ...(k.j!.answers_verdict && { answers_verdict: k.j!.answers_verdict }),
        }),
        crop: { x: k.l.centre_px[0] - r, y: k.l.centre_px[1] - r, w: 2 * r, h: 2 * r },
        ...(marks.length > 0 && { marks }),
        ...(drawn && { places: drawn }),
        ...viewsOf(doc.locations.indexOf(k.l)),
      },
    });
  });
  await save(drafts, { draft: draft.id });
  await layOut(view.part.id).catch(() => undefined); // the readings are safe; the next photo tries again
  void askToPersist();
  return {
    tags: kept
      .filter((k) => k.j!.suggest && k.j!.suggest !== "keep")
      .map((k) => k.a.tag)
      .sort((a, b) => a.localeCompare(b, "en", { numeric: true })),
  };
}

/** Keeps a photo that could not be measured as a shot without a reading. */
export async function keepUnread(w: InWork, why: string): Promise<void> {
  const { view, draft } = w;
  if (!view || !draft) throw new Error("the part of this photo is not here");
  const about = { kind: "shot" as const, project: view.project.id, part: view.part.id },
    of = draft.location ? [draft.location] : (w.hand.wanted ?? []);
  const drafts: Draft[] = [{ ...about, data: await shotData(w, of, why) }];
  for (const hash of draft.more ?? [])
    drafts.push({ ...about, data: await shotData(w, of, why, hash, {}) });
  await save(drafts, { draft: draft.id });
}
