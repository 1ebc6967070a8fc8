// Sending what waits. A row leaves the outbox only after the laptop said that it keeps the thing;
// whatever breaks off before is sent again, and the laptop takes nothing twice.
import { tellChanged } from "../data/changes";
import { db, setting, type OutboxRow } from "../data/db";
import { api, Refusal, type Problem } from "./api";

/** Entries in one request: a few hundred kB, some seconds on a poor network. */
const BATCH = 100;
const BATCH_BYTES = 1_000_000;

export interface Progress {
  sent: number;
  total: number;
}

/** What is to be sent now: entries in the order in which they were made, then photos. */
export async function waiting(): Promise<OutboxRow[]> {
  const rows = await (await db()).getAll("outbox");
  return rows.sort(
    (a, b) => a.what.localeCompare(b.what) || (a.id < b.id ? -1 : a.id > b.id ? 1 : a.at - b.at),
  );
}

const told = (p: Problem): NonNullable<OutboxRow["refused"]> => ({
  title: p.title,
  code: p.code,
  ...(p.do && { do: p.do }),
});

async function settle(rows: { row: OutboxRow; refused?: Problem }[]): Promise<void> {
  const d = await db();
  const tx = d.transaction(["outbox", "photos"], "readwrite");
  for (const { row, refused } of rows) {
    if (refused) {
      await tx.objectStore("outbox").put({ ...row, refused: told(refused) });
      continue;
    }
    if (row.what === "photo") {
      const p = await tx.objectStore("photos").get(row.hash);
      if (p) await tx.objectStore("photos").put({ ...p, sent: true });
    }
    await tx.objectStore("outbox").delete(row.key);
  }
  await tx.done;
  tellChanged({ record: false });
}

/**
 * Sends everything that waits. Rows that the laptop refused before are left alone unless again is
 * set. Rows of another device's chain are the laptop's to take in from a file, unless this is the
 * owner's browser.
 */
export async function pushAll(
  o: { again?: boolean; signal?: AbortSignal; progress?: (p: Progress) => void } = {},
): Promise<void> {
  const identity = await setting("identity");
  if (!identity) return;
  const mine = (r: OutboxRow): boolean => r.device === identity.device || identity.owner;
  // An id ahead of the laptop's clock is refused until its time has come, a decision on paper until
  // its page is there.
  const later = (r: OutboxRow): boolean =>
    ["id-ahead", "page-missing"].includes(r.refused?.code ?? "");
  const due = (r: OutboxRow): boolean => o.again || !r.refused || later(r);
  const rows = (await waiting()).filter((r) => due(r) && (r.what === "photo" || mine(r)));
  const total = rows.length;
  let sent = 0;
  const tell = (n: number): void => o.progress?.({ sent: (sent += n), total });
  tell(0);
  await pushEntries(
    rows.filter((r) => r.what === "entry"),
    identity.device,
    tell,
    o.signal,
  );
  await pushPhotos(
    rows.filter((r) => r.what === "photo"),
    tell,
    o.signal,
  );
  const paper = (await waiting()).filter((r) => r.refused?.code === "page-missing" && mine(r));
  await pushEntries(paper, identity.device, () => undefined, o.signal);
}

async function pushEntries(
  rows: OutboxRow[],
  device: string,
  tell: (n: number) => void,
  signal?: AbortSignal,
): Promise<void> {
  const d = await db();
  for (let i = 0; i < rows.length;) {
    const batch: OutboxRow[] = [];
    const raws: string[] = [];
    const handedIn = rows[i]!.device !== device;
    for (
      let bytes = 0;
      i < rows.length &&
      batch.length < BATCH &&
      bytes < BATCH_BYTES &&
      (rows[i]!.device !== device) === handedIn;
      i++
    ) {
      const row = rows[i]!;
      const e = await d.get("entries", row.hash);
      if (!e) continue; // can't be: both are written in one transaction
      batch.push(row);
      raws.push(e.raw);
      bytes += e.raw.length;
    }
    if (batch.length === 0) continue;
    const { results } = await api.push(raws, handedIn, signal);
    await settle(
      batch.flatMap((row, k) => {
        const r = results[k];
        if (!r) return []; // not answered: stays
        if (r.status === "refused")
          return [
            {
              row,
              refused: {
                type: "",
                title: r.refusal?.text ?? "the laptop refused it",
                status: 422,
                code: r.refusal?.code ?? "refused",
                ...(r.refusal?.do && { do: r.refusal.do }),
              },
            },
          ];
        return [{ row }];
      }),
    );
    tell(batch.length);
  }
}

async function pushPhotos(
  rows: OutboxRow[],
  tell: (n: number) => void,
  signal?: AbortSignal,
): Promise<void> {
  for (let i = 0; i < rows.length; i += 500) {
    const part = rows.slice(i, i + 500);
    const missing = new Set(
      await api.wanted(
        part.map((r) => r.hash),
        signal,
      ),
    );
    const there = part.filter((r) => !missing.has(r.hash));
    await settle(there.map((row) => ({ row })));
    tell(there.length);
    for (const row of part) {
      if (!missing.has(row.hash)) continue;
      const p = await (await db()).get("photos", row.hash);
      if (!p?.original) continue; // dropped only after it was sent
      try {
        await api.putPhoto(row.hash, p.media, p.original, signal);
        await settle([{ row }]);
      } catch (e) {
        // A photo that the laptop will never take must not hold up those behind it.
        if (
          !(e instanceof Refusal) ||
          e.problem.status >= 500 ||
          [401, 403, 408, 421, 429].includes(e.problem.status)
        )
          throw e;
        await settle([{ row, refused: e.problem }]);
      }
      tell(1);
    }
  }
}
