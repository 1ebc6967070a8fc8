// Notes about a part and its locations.
import { useState } from "preact/hooks";
import { save, type NewPhoto } from "../../data/entries";
import { path } from "../../router";
import { w } from "../../words";
import { ofKind } from "../finding";
import { time } from "../dates";
import { useLive } from "../hooks";
import { Empty, Field, FileButton, Trouble, Waiting } from "../kit/bits";
import { say } from "../kit/say";
import { Act, Sheet } from "../kit/sheet";
import { CropView } from "./crop";
import { newPhoto } from "./newphoto";

export function PartNotes({ id }: { id: string }) {
  const v = useLive("state.part", { id }).value,
    entries = useLive("state.concerning", { id }).value;
  const [text, setText] = useState(""),
    [photos, setPhotos] = useState<NewPhoto[]>([]),
    [e, setE] = useState<unknown>();
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
            data: {
              text: text.trim(),
              ...(photos.length > 0 && { photos: photos.map((p) => p.hash) }),
            },
          },
        ],
        { photos },
      );
      setText("");
      setPhotos([]);
      say(w.note.saved);
    } catch (x) {
      setE(x);
    }
  };
  return (
    <Sheet
      title={w.note.list}
      facts={v.part.name}
      back={path("part", id)}
      as="column"
      strip={
        <Act
          go
          icon="save"
          why={text.trim() || photos.length ? undefined : w.note.need}
          act={() => void keep()}
        >
          {w.history.addNote}
        </Act>
      }
    >
      <div class="pad stack">
        <Trouble e={e} />
        <Field area label={w.note.text} value={text} set={setText} />
        <FileButton
          many
          files={(f) =>
            void Promise.all(f.map(newPhoto)).then((p) => setPhotos([...photos, ...p]), setE)
          }
        >
          {w.note.photo}
        </FileButton>
        {photos.length > 0 && <p class="note">{w.note.photos(photos.length)}</p>}
      </div>
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
