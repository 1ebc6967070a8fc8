// The strip of the first screens: parts, work, snap.
import { w } from "../words";
import { useLive, wide } from "./hooks";
import { Act } from "./kit/sheet";
import { memory } from "./prefs";
import { useRole } from "./role";

export function MainStrip({
  here,
  next,
}: {
  here: "parts" | "work" | "inspect" | "";
  /** What comes before the first photo. */
  next?: { to: string; text: string } | undefined;
}) {
  const work = useLive("state.work", {}).value?.length;
  const role = useRole();
  const part = memory.value?.part;
  return (
    <>
      <Act to="/parts" here={here === "parts"} icon="parts">
        {w.parts}
      </Act>
      <Act to="/work" here={here === "work"} icon="work">
        {w.workList} {work !== undefined && <span class="count">{work}</span>}
      </Act>
      {role === "inspector" ? (
        <Act go to="/inspect" here={here === "inspect"} icon="sign">
          {w.inspectorTab}
        </Act>
      ) : next ? (
        <Act go to={next.to}>
          {next.text}
        </Act>
      ) : (
        <Act go icon="snap" to={part ? `/part/${part}/snap` : "/snap"}>
          {wide.value ? w.addPhotos : w.snap}
        </Act>
      )}
    </>
  );
}
