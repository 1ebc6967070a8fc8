// A note about one location.
import { w } from "../../words";
import { about, Form } from "./form";
import { useNote } from "./notefields";

export function NoteForm({ id }: { id: string }) {
  const n = useNote();
  return (
    <Form
      id={id}
      title={() => w.note.title}
      why={n.why}
      photos={n.photos}
      words={w.note.saved}
      make={(v) => [
        {
          kind: "note",
          ...about(v),
          data: { ...n.data, ...(v.location.finding && { finding: v.location.finding }) },
        },
      ]}
    >
      {() => n.fields}
    </Form>
  );
}
