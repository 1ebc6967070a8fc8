// What stands inside the parts of the list, and which photos wait.
import { useEffect, useState } from "preact/hooks";
import type { Location, SignOffStatus } from "../../bridge/types";
import { book } from "../../data/book";
import { changed, diskChanged } from "../../data/changes";
import { drafts } from "../../data/photos";

interface Inside {
  places: Location[];
  signs: Record<string, SignOffStatus> | undefined;
}

/** The locations of several parts, and how their sign-offs stand. */
export function usePlaces(ids: string[]): Map<string, Inside> {
  const [map, set] = useState(new Map<string, Inside>());
  const key = ids.join(" ") + changed.value;
  useEffect(() => {
    let gone = false;
    void Promise.all(
      ids.map(async (id) => {
        const v = await book.call("state.part", { id });
        return [
          id,
          {
            places: v.places.map((p) => p.location).filter((l) => !l.out),
            signs: v.part.sign_offs?.length
              ? await book.call("state.sign-offs", { id })
              : undefined,
          },
        ] as const;
      }),
    ).then(
      (all) => {
        if (!gone) set(new Map(all));
      },
      () => undefined,
    );
    return () => {
      gone = true;
    };
  }, [key]);
  return map;
}

export function useDrafts(): number {
  const [n, set] = useState(0);
  const k = diskChanged.value;
  useEffect(() => {
    void drafts().then((d) => set(d.length));
  }, [k]);
  return n;
}
