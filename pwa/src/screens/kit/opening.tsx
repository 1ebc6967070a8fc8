// A screen until what it shows is read.
import { Trouble, Waiting } from "./bits";
import { Sheet } from "./sheet";

export function Opening(p: { title: string; back: string; error: unknown }) {
  return (
    <Sheet title={p.title} back={p.back}>
      {p.error ? <Trouble e={p.error} /> : <Waiting />}
    </Sheet>
  );
}
