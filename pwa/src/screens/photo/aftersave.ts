// Where the work goes on after a photo was saved.
import { book } from "../../data/book";
import { drafts } from "../../data/photos";
import { go, goInstead, path } from "../../router";
import { wayTo } from "../wayto";
import type { InWork } from "./usework";

/**
 * Goes to the new rivet where the hole was looked at after drilling out, to photos of the part that wait,
 * to the camera where more of the row is to come, else to the part. Whoever has gone elsewhere
 * meanwhile stays there.
 */
export async function afterSave(k: InWork): Promise<void> {
  const from = location.pathname,
    to = await after(k);
  if (location.pathname !== from) return;
  // Back from the camera leads to the part, however many photos were saved.
  if (to.includes("/snap?")) await goInstead(to);
  else go(to, { replace: true });
}

async function after(k: InWork): Promise<string> {
  const part = k.view!.part.id,
    saved = k.assigned.filter((a, i) => a.location && k.judged[i]).map((a) => a.location!.id);
  if (k.draft?.location) {
    const was = k.view!.places.find((p) => p.location.id === k.draft!.location)?.location,
      v = await book.call("state.location", { id: k.draft.location });
    if (was?.stage === "drilled out" && saved.includes(was.id))
      return v.next[0] === "set rivet" ? wayTo(v, "set rivet") : path("location", was.id);
  }
  if ((await drafts()).some((d) => d.part === part)) return "/photos";
  const next = await book.call("placing.next", { part, saved });
  return next.length > 0
    ? `${path("part", part, "snap")}?next=${next.join(",")}`
    : path("part", part);
}
