// What waits for an inspector's decision, in the order in which it is looked at.
import { useEffect, useState } from "preact/hooks";
import type { Counts, Location, Part, Place, SignOffStatus } from "../../bridge/types";
import { book } from "../../data/book";
import { changed } from "../../data/changes";
import { useLive } from "../hooks";
import { currentProject } from "../parts/current";

export interface Waits {
  l: Location;
  place: Place;
  part: Part;
}
export interface PartStand {
  part: Part;
  counts: Counts;
  signs: Record<string, SignOffStatus>;
}

/** Where a finding is decided on. Not a path of its own: from one to the next the screen stays. */
export const inspectAt = (location: string): string =>
  `/inspect?at=${encodeURIComponent(location)}`;

/** By part; in it the worst first, then by tag as on the layout. */
export function useAwaiting(): { list: Waits[] | undefined; parts: PartStand[] } {
  const projects = useLive("state.projects", {}).value,
    project = currentProject(projects);
  const [s, set] = useState<ReturnType<typeof useAwaiting>>({ list: undefined, parts: [] });
  const n = changed.value;
  useEffect(() => {
    if (!projects) return;
    if (!project) return set({ list: [], parts: [] });
    let gone = false;
    void (async () => {
      const list: Waits[] = [],
        parts: PartStand[] = [];
      for (const p of await book.call("state.parts", { id: project.id })) {
        parts.push({
          ...p,
          signs: p.part.sign_offs?.length
            ? await book.call("state.sign-offs", { id: p.part.id })
            : {},
        });
        if (!p.counts.awaits) continue;
        const places = (await book.call("state.part", { id: p.part.id })).places;
        list.push(
          ...places
            .filter((x) => x.location.awaits)
            .sort((a, b) => a.urgency - b.urgency)
            .map((place) => ({ l: place.location, place, part: p.part })),
        );
      }
      if (!gone) set({ list, parts });
    })();
    return () => {
      gone = true;
    };
  }, [project?.id, n, !!projects]);
  return s;
}
