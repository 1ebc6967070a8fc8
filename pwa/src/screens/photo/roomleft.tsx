// Room for the next photo: told before the shutter, and what to do with a picture that found none.
import { useEffect, useState } from "preact/hooks";
import { handOver } from "../../capture/files";
import { diskChanged } from "../../data/changes";
import { room, type Room } from "../../data/storage";
import { w } from "../../words";
import { intoView } from "../kit/bits";
import { Free } from "../kit/free";

function useRoom(): Room | undefined {
  const [r, set] = useState<Room>();
  const n = diskChanged.value;
  useEffect(() => {
    let gone = false;
    room().then(
      (x) => {
        if (!gone) set(x);
      },
      () => undefined, // the shutter works all the same
    );
    return () => {
      gone = true;
    };
  }, [n]);
  return r;
}

/** What can be freed here; else how it becomes so. */
const MakeRoom = ({ r, freed }: { r: Room; freed?: () => void }) => (
  <>
    {r.droppable.photos === 0 && (
      <p>
        {w.roomLeft.nothing}{" "}
        <a class="link" href="/unsent">
          {w.unsentScreen.title}
        </a>
      </p>
    )}
    <Free r={r} freed={freed} />
  </>
);

/** Before the shutter: little room, or none. */
export function RoomLeft() {
  const r = useRoom();
  if (!r?.low) return null;
  const none = r.photosLeft < 1;
  return (
    <div class={`said ${none ? "bad" : ""}`} role="status" {...(none && { ref: intoView })}>
      <p>
        <b>{none ? w.roomLeft.none : w.unsentScreen.left(r.photosLeft)}</b>
      </p>
      <MakeRoom r={r} />
    </div>
  );
}

/** A picture that was taken and found no room: it is still here, and can be had as a file. */
export function NoRoom({ picture, again }: { picture: Blob; again: () => void }) {
  const r = useRoom();
  return (
    <div class="said bad" role="alert" ref={intoView}>
      <p>
        <b>{w.roomLeft.full}</b>
      </p>
      <p>{w.roomLeft.fullDo}</p>
      <div class="btns">
        <button
          type="button"
          class="btn"
          onClick={() =>
            void handOver(
              picture instanceof File ? picture.name : `photo-${Date.now()}.jpg`,
              picture,
            )
          }
        >
          {w.roomLeft.asFile}
        </button>
        <button type="button" class="btn" onClick={again}>
          {w.roomLeft.again}
        </button>
      </div>
      {r && <MakeRoom r={r} freed={again} />}
    </div>
  );
}
