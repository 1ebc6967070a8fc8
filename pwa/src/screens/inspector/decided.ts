// How a finding that was decided stands, in words.
import type { Location, LocationView } from "../../bridge/types";
import { w } from "../../words";
import { sentence } from "../../words/sentence";

const because = (reason: string | undefined): string => (reason ? ` ${sentence(reason)}` : "");

/** What was decided about a location's finding, a paragraph each; none where nobody has. */
export function decided(
  l: Pick<Location, "decision" | "disagree">,
  entries: LocationView["entries"],
): string[] {
  if (l.disagree)
    return [
      w.inspect.apart,
      ...l.disagree.map((c) =>
        w.inspect.apartBy(w.disposition[c.answer], c.name, because(c.reason)),
      ),
    ];
  const last = l.decision && [...entries].reverse().find((e) => e.kind === "decision");
  return last
    ? [w.inspect.was(w.disposition[last.data.answer], last.data.name) + because(last.data.reason)]
    : [];
}
