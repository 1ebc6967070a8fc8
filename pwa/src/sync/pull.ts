// Taking in what others entered.
import { book, enter } from "../data/book";
import { tellChanged } from "../data/changes";
import { db, setting } from "../data/db";
import { entryRow } from "../data/entries";
import { api } from "./api";

/** Entries that could not be read here: kept on the laptop, named to the builder. */
export interface Pulled {
  fresh: number;
  unreadable: string[];
}

/** Pulls everything that is new on the laptop. Each page and its cursor are kept in one transaction. */
export async function pullAll(o: { signal?: AbortSignal } = {}): Promise<Pulled> {
  const out: Pulled = { fresh: 0, unreadable: [] };
  let cursor = (await setting("cursor")) ?? "";
  for (let more = true; more;) {
    // After a restore the laptop begins at the start by itself: what is here already does no harm.
    const page = await api.pull(cursor, o.signal);
    const read = page.entries.length > 0 ? await book.call("record.read", page.entries) : [];
    const d = await db();
    const tx = d.transaction(["entries", "settings"], "readwrite");
    const rows = [];
    for (const r of read) {
      if (r.refusal) out.unreadable.push(r.refusal.text);
      if (!r.entry || (await tx.objectStore("entries").getKey(r.entry.hash))) continue;
      const row = entryRow(r.entry);
      await tx.objectStore("entries").put(row);
      rows.push(row);
    }
    await tx.objectStore("settings").put(page.cursor, "cursor");
    await tx.done;
    await enter(rows);
    out.fresh += rows.length;
    if (rows.length > 0) tellChanged({ record: true });
    more = page.more && page.cursor !== cursor;
    cursor = page.cursor;
  }
  return out;
}
