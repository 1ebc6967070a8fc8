// What is typed and photographed for a note, on a location or a part.
import { useState } from "preact/hooks";
import type { NewPhoto } from "../../data/entries";
import { w } from "../../words";
import { Field, FileButton, Trouble } from "../kit/bits";
import { newPhoto } from "./newphoto";

export function useNote() {
  const [text, setText] = useState(""),
    [photos, setPhotos] = useState<NewPhoto[]>([]),
    [e, setE] = useState<unknown>();
  return {
    photos,
    setE,
    why: text.trim() || photos.length ? undefined : w.note.need,
    data: {
      text: text.trim(),
      ...(photos.length > 0 && { photos: photos.map((p) => p.hash) }),
    },
    clear: () => {
      setText("");
      setPhotos([]);
    },
    fields: (
      <>
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
      </>
    ),
  };
}
