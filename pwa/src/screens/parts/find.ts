// Which of a part's locations are looked for.
import type { Entry, Location, Whole } from "../../bridge/types";

export type Filter = "all" | "open" | Whole;

/** Open is what nothing was judged of, or where something waits. */
export const fits = (l: Location, show: Filter): boolean =>
  show === "all" || (show === "open" ? !l.whole || !!l.work?.length : l.whole === show);

export function notesBy(entries: Entry[]): Map<string, string> {
  const m = new Map<string, string>();
  for (const e of entries)
    if (e.kind === "note" && e.location)
      m.set(e.location, `${m.get(e.location) ?? ""} ${e.data.text}`);
  return m;
}
