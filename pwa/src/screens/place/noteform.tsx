// A note about one location.
import { useState } from "preact/hooks";
import type { NewPhoto } from "../../data/entries";
import { w } from "../../words";
import { Field, FileButton, Trouble } from "../kit/bits";
import { about, Form } from "./form";
import { newPhoto } from "./newphoto";

export function NoteForm({ id }: { id: string }) {
  const [text, setText] = useState(""),
    [photos, setPhotos] = useState<NewPhoto[]>([]),
    [e, setE] = useState<unknown>();
  return (
    <Form
      id={id}
      title={() => w.note.title}
      why={text.trim() || photos.length ? undefined : w.note.need}
      photos={photos}
      words={w.note.saved}
      make={(v) => [
        {
          kind: "note",
          ...about(v),
          data: {
            text: text.trim(),
            ...(photos.length > 0 && { photos: photos.map((p) => p.hash) }),
            ...(v.location.finding && { finding: v.location.finding }),
          },
        },
      ]}
    >
      {() => (
        <>
          <Field area label={w.note.text} value={text} set={setText} />
          <Trouble e={e} />
          <FileButton
            many
            files={(f) =>
              void Promise.all(f.map(newPhoto)).then((p) => setPhotos([...photos, ...p]), setE)
            }
          >
            {w.note.photo}
          </FileButton>
          {photos.length > 0 && <p class="note">{w.note.photos(photos.length)}</p>}
        </>
      )}
    </Form>
  );
}
