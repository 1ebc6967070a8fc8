// What an inspector will look at is fetched ahead, so that decisions can be made where nothing is
// in reach: of each location that waits for a decision, the photos of all its attempts, small, and
// the pieces that show the fastener, sharp.
import type { Crop } from "../bridge/types";
import { book } from "../data/book";
import { changed, tellChanged } from "../data/changes";
import { db, setting, type DB } from "../data/db";
import { fetchPreview } from "../data/photos";
import { fetchPiece, pieceKey, pieceOf } from "../data/pieces";

/** So many pieces are kept at most, about 200 kB each: a large part has some hundred rivets. */
const MOST_PIECES = 600;
/** So much room is left to the phone, bytes. */
const LEAVE = 200e6;

export interface Wanted {
  hash: string;
  crop?: Crop;
}

/** What is looked at in the locations that wait, without repetitions: for each finding its photo, then its piece. */
export async function wantedAhead(): Promise<Wanted[]> {
  const out = new Map<string, Wanted>();
  const want = (w: Wanted): unknown => out.set(w.crop ? pieceKey(w.hash, w.crop) : w.hash, w);
  for (const project of await book.call("state.projects", {})) {
    for (const { part, counts } of await book.call("state.parts", { id: project.id })) {
      if (!counts.awaits) continue;
      if (part.layout?.photo) want({ hash: part.layout.photo });
      const waits = new Set(
        (await book.call("state.part", { id: part.id })).places
          .filter((p) => p.location.awaits)
          .map((p) => p.location.id),
      );
      const entries = await book.call("state.concerning", { id: part.id });
      const shots = new Map(
        entries.flatMap((e) => (e.kind === "shot" ? [[e.id, e.data.photo] as const] : [])),
      );
      for (const e of entries) {
        if (e.kind !== "finding" || !e.location || !waits.has(e.location)) continue;
        const hash = shots.get(e.data.shot ?? ""),
          crop = pieceOf(e.data);
        if (!hash) continue;
        want({ hash });
        if (crop) want({ hash, crop });
      }
    }
  }
  return [...out.values()];
}

/** The change of the record after which nothing was missing. */
let doneAt = -1;

/**
 * Fetches what is missing. A builder's device has its own
 * photos, and keeps no others. Never rejects: the next sync tries again.
 */
export async function fetchAhead(): Promise<void> {
  if (!navigator.locks) return void (await fetchMissing().catch(() => undefined));
  await navigator.locks
    .request("bucktail-ahead", { ifAvailable: true }, (lock) => (lock ? fetchMissing() : undefined))
    .catch(() => undefined);
}

/** Drops pieces of what no longer waits, oldest first, as far as the others need their places: what was rejected comes back. */
async function makeRoom(d: DB, wanted: Set<string>): Promise<void> {
  const there = (await d.getAll("pieces")).sort((a, b) => a.at - b.at),
    kept = new Set(there.map((p) => p.key));
  let over = there.length + [...wanted].filter((k) => !kept.has(k)).length - MOST_PIECES;
  for (const p of there) {
    if (over <= 0) return;
    if (wanted.has(p.key)) continue;
    await d.delete("pieces", p.key);
    over--;
  }
}

async function fetchMissing(): Promise<void> {
  if ((await setting("identity"))?.role !== "inspector" || doneAt === changed.peek()) return;
  const at = changed.peek(),
    all = await wantedAhead(),
    d = await db();
  const keys = new Set(all.flatMap((w) => (w.crop ? [pieceKey(w.hash, w.crop)] : [])));
  await makeRoom(d, keys);
  let missing = false,
    fresh = 0,
    pieces = await d.count("pieces");
  for (const w of all) {
    const row = await d.get("photos", w.hash);
    if (w.crop ? row?.original || (await d.getKey("pieces", pieceKey(w.hash, w.crop))) : row)
      continue;
    const room = await navigator.storage?.estimate?.().catch(() => undefined);
    if (pieces >= MOST_PIECES || (room?.quota && room.quota - (room.usage ?? 0) < LEAVE)) break;
    const got = w.crop ? await fetchPiece(w.hash, w.crop) : await fetchPreview(w.hash);
    if (!got)
      missing = true; // not sent by the builder's phone yet
    else fresh++;
    if (got && w.crop) pieces++;
  }
  if (!missing) doneAt = at;
  if (fresh > 0) tellChanged({ record: false });
}
