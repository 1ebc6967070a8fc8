// Photos that were taken and have no saved reading yet: after a crash the work goes on from here.
import { useEffect, useState } from "preact/hooks";
import { diskChanged } from "../../data/changes";
import type { DraftRow } from "../../data/db";
import { drafts, keepDraft } from "../../data/photos";
import { go, path } from "../../router";
import { w } from "../../words";
import { time } from "../dates";
import { useLive, usePicture } from "../hooks";
import { Empty } from "../kit/bits";
import { Icon } from "../kit/shapes";
import { Act, Sheet } from "../kit/sheet";
import { memory } from "../prefs";

export function WaitingPhotos() {
  const [list, set] = useState<DraftRow[]>();
  const n = diskChanged.value;
  useEffect(() => {
    void drafts().then(set);
  }, [n]);
  return (
    <Sheet
      title={w.unsentScreen.drafts}
      facts={w.unsentScreen.draftsNote}
      back="/parts"
      as="column"
      strip={
        list?.[0] ? (
          <Act go to={path("photo", list[0].id)}>
            {w.next}
          </Act>
        ) : (
          <Act go to="/parts">
            {w.toParts}
          </Act>
        )
      }
    >
      {list?.length === 0 && <Empty title={w.unsentScreen.noDrafts} />}
      <ul class="rows">
        {list?.map((d) => (
          <li key={d.id}>
            <Row d={d} />
          </li>
        ))}
      </ul>
    </Sheet>
  );
}

function Row({ d }: { d: DraftRow }) {
  const url = usePicture(d.photo, "preview");
  const part = useLive("state.part", { id: d.part ?? "" }).value?.part.name;
  const parts = useLive("state.parts", { id: memory.value?.project ?? "" }).value ?? [];
  const known = d.document?.locations.length;
  return (
    <>
      <button type="button" class="row" onClick={() => go(path("photo", d.id))}>
        {url ? <img class="thumb" src={url} alt="" /> : <span class="thumb" />}
        <span class="what">
          <b>{part ?? w.snapScreen.noPart}</b>
          <small>
            {time(d.at)}
            {known !== undefined && ` · ${w.result.fasteners(known)}`}
          </small>
        </span>
        <Icon i="next" />
      </button>
      {!d.part && parts.length > 0 && (
        <div class="pad btns">
          {parts.map((p) => (
            <button
              type="button"
              class="btn"
              onClick={() =>
                void keepDraft({ ...d, project: p.part.project, part: p.part.id }).then(() =>
                  go(path("photo", d.id)),
                )
              }
            >
              {p.part.name}
            </button>
          ))}
        </div>
      )}
    </>
  );
}
