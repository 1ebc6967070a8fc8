// Photos that were taken and not saved yet, wherever the work goes on.
import { useEffect, useState } from "preact/hooks";
import { diskChanged } from "../../data/changes";
import type { DraftRow } from "../../data/db";
import { drafts } from "../../data/photos";
import { path } from "../../router";
import { w } from "../../words";
import { Icon } from "./shapes";

/** Of one part, or of all. */
export function Unsaved({ part }: { part?: string }) {
  const [list, set] = useState<DraftRow[]>([]);
  useEffect(() => {
    void drafts().then(
      (all) => set(all.filter((d) => !part || d.part === part)),
      () => undefined, // the screen is about other things
    );
  }, [diskChanged.value, part]);
  if (list.length === 0) return null;
  return (
    <a class="row" href={list.length === 1 ? path("photo", list[0]!.id) : "/photos"}>
      <Icon i="photos" />
      <span class="what">
        <b>{w.unsentScreen.notSaved(list.length)}</b>
        <small>{w.unsentScreen.notSavedDo}</small>
      </span>
      <Icon i="next" />
    </a>
  );
}
