// How the fasteners of a photo are named and in which order they stand.
import type { InWork } from "./usework";

/** As the tags read, those without one last. */
export function inOrder(k: InWork): number[] {
  return k.assigned
    .map((_, i) => i)
    .sort(
      (a, b) =>
        (k.assigned[a]!.loc === "none" ? 1 : 0) - (k.assigned[b]!.loc === "none" ? 1 : 0) ||
        k.assigned[a]!.tag.localeCompare(k.assigned[b]!.tag, "en", { numeric: true }),
    );
}

/** "R7 to R10" when they follow each other. */
export function tagsTitle(tags: string[]): string {
  if (tags.length < 3) return tags.join(", ");
  const n = tags.map((t) => Number(/\d+$/.exec(t)?.[0])),
    s = [...n].sort((a, b) => a - b);
  const run = s.every((x, i) => i === 0 || x === s[i - 1]! + 1);
  const first = tags[n.indexOf(s[0]!)],
    last = tags[n.indexOf(s.at(-1)!)];
  return run
    ? `${first} to ${last}`
    : `${tags.slice(0, 3).join(", ")}${tags.length > 3 ? " …" : ""}`;
}
