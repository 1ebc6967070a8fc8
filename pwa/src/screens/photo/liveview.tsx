// What the camera sees, with the aim and one instruction over it; or how to do without a live view.
import type { Document, NextView } from "../../bridge/types";
import type { CameraError } from "../../capture/camera";
import { w } from "../../words";
import { Aim, Instruction } from "./aim";
import { HowToLay } from "./howtolay";
import type { useCamera } from "./usecamera";

export function LiveView({
  v: { video, cam, g, none, again },
  take,
  after,
  next,
}: {
  v: ReturnType<typeof useCamera>;
  /** Photos that are dropped where there is no camera. */
  take: (files: File[]) => void;
  /** Of the photo that one more is taken to. */
  after?: Document | undefined;
  /** Where the phone is wanted, where not straight above. */
  next?: Pick<NextView, "from" | "tilt_deg"> | undefined;
}) {
  if (none) return <NoCamera none={none} take={take} again={again} />;
  return (
    <div
      class="photo live"
      onClick={(ev) => {
        if (!cam?.offers.focusOnce) return;
        const r = ev.currentTarget.getBoundingClientRect();
        void cam.focus((ev.clientX - r.left) / r.width, (ev.clientY - r.top) / r.height);
      }}
    >
      <video ref={video} muted playsInline autoplay aria-label={w.snapScreen.title} />
      {g ? (
        <>
          <Aim g={g} after={after} />
          <Instruction g={g} next={next} />
        </>
      ) : (
        <p class="words">{w.snapScreen.starting}</p>
      )}
    </div>
  );
}

function NoCamera({
  none,
  take,
  again,
}: {
  none: CameraError;
  take: (files: File[]) => void;
  again: () => void;
}) {
  return (
    <div
      class="pad stack scrolls"
      onDragOver={(ev) => ev.preventDefault()}
      onDrop={(ev) => {
        ev.preventDefault();
        const f = [...(ev.dataTransfer?.files ?? [])];
        if (f.length) take(f);
      }}
    >
      <HowToLay />
      <h2 class="message">{w.snapScreen.noCamera}</h2>
      <p>{none.why === "denied" ? w.snapScreen.denied : w.snapScreen.noCameraNote}</p>
      {none.why !== "insecure" && (
        <button type="button" class="btn" onClick={again}>
          {w.snapScreen.tryAgain}
        </button>
      )}
      <p class="note">{w.snapScreen.dragHere}</p>
    </div>
  );
}
