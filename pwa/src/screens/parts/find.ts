// Which of a part's locations are looked for, and which need somebody first.
import type { Entry, Location } from "../../bridge/types";

export type Filter = "all" | "open" | "out" | "too close" | "within";
export const urgency = (l: Location): number =>
  l.verdict === "out"
    ? 0
    : l.verdict === "too close"
      ? 1
      : l.work?.length
        ? 2
        : l.stage === "drilled out"
          ? 3
          : l.verdict === "within"
            ? 6
            : l.stage === "marked"
              ? 5
              : 4;

export function notesBy(entries: Entry[]): Map<string, string> {
  const m = new Map<string, string>();
  for (const e of entries)
    if (e.kind === "note" && e.location)
      m.set(e.location, `${m.get(e.location) ?? ""} ${e.data.text}`);
  return m;
}
