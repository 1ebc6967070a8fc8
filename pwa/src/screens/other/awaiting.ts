// What waits for an inspector's decision, in the order in which it is looked at.
import { useEffect, useState } from "preact/hooks";
import type { Counts, Location, Part, SignOffStatus, Verdict } from "../../bridge/types";
import { book } from "../../data/book";
import { changed } from "../../data/changes";
import { w } from "../../words";
import { currentProject } from "../parts/current";
import { dayLong, useLive } from "../hooks";

export interface Waits {
  l: Location;
  part: Part;
}
export interface PartStand {
  part: Part;
  counts: Counts;
  signs: Record<string, SignOffStatus>;
}

const weight: Record<Verdict, number> = { out: 0, "too close": 1, within: 2 };

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
        const places = (await book.call("state.part", { id: p.part.id })).places
          .map((x) => x.location)
          .filter((l) => l.awaits);
        list.push(
          ...places
            .sort((a, b) => weight[a.verdict || "within"] - weight[b.verdict || "within"])
            .map((l) => ({ l, part: p.part })),
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

/** How a part's latest sign-off stands to what is there now. */
export function signStands(
  part: Part,
  signs: Record<string, SignOffStatus> | undefined,
): { text: string; bad: string } | undefined {
  const last = part.sign_offs?.at(-1);
  return (
    last && {
      text: w.sign.signedBy(last.name, dayLong(last.at)),
      bad: signTrouble(last, signs?.[last.entry]),
    }
  );
}

/** What is wrong with a sign-off, in words; empty where nothing is. */
export function signTrouble(s: { at: string }, st: SignOffStatus | undefined): string {
  return !st
    ? ""
    : st.altered
      ? w.sign.altered
      : st.missing?.length
        ? w.sign.missing(st.missing.length)
        : st.since?.length
          ? w.sign.outdated(st.since.length, dayLong(s.at))
          : "";
}
