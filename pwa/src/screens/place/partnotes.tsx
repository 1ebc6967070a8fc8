// Notes about a part and its locations.
import { save } from "../../data/entries";
import { path } from "../../router";
import { w } from "../../words";
import { ofKind } from "../finding";
import { time } from "../dates";
import { useLive } from "../hooks";
import { Empty, Waiting } from "../kit/bits";
import { say } from "../kit/say";
import { Act, Sheet } from "../kit/sheet";
import { CropView } from "./crop";
import { useNote } from "./notefields";

export function PartNotes({ id }: { id: string }) {
  const v = useLive("state.part", { id }).value,
    entries = useLive("state.concerning", { id }).value;
  const note = useNote();
  if (!v || !entries)
    return (
      <Sheet title={w.note.list} back={path("part", id)}>
        <Waiting />
      </Sheet>
    );
  const tags = new Map(v.places.map((p) => [p.location.id, p.location.tag]));
  const gone = new Set(entries.flatMap((x) => x.supersedes ?? []));
  const notes = ofKind(entries, "note")
    .filter((n) => !gone.has(n.id))
    .reverse();
  const keep = async (): Promise<void> => {
    try {
      await save(
        [
          {
            kind: "note",
            project: v.project.id,
            part: id,
            data: note.data,
          },
        ],
        { photos: note.photos },
      );
      note.clear();
      say(w.note.saved);
    } catch (x) {
      note.setE(x);
    }
  };
  return (
    <Sheet
      title={w.note.list}
      facts={v.part.name}
      back={path("part", id)}
      as="column"
      strip={
        <Act go icon="save" why={note.why} act={() => void keep()}>
          {w.history.addNote}
        </Act>
      }
    >
      <div class="pad stack">{note.fields}</div>
      {notes.length === 0 && <Empty title={w.note.none} />}
      <ul class="rows">
        {notes.map((n) => (
          <li key={n.id}>
            <div class="pad stack">
              <p>
                {n.location && <b>{tags.get(n.location)} </b>}
                {n.data.text}
              </p>
              {n.data.photos?.map((h) => (
                <CropView hash={h} crop={undefined} alt={w.note.title} />
              ))}
              <p class="label">
                {time(n.at)} · {n.by}
              </p>
            </div>
          </li>
        ))}
      </ul>
    </Sheet>
  );
}
