// Room for the next photo: told before the shutter, and what to do with a picture that found none.
import { useEffect, useState } from "preact/hooks";
import { handOver } from "../../capture/files";
import { diskChanged } from "../../data/changes";
import { dropSentOriginals, room, type Room } from "../../data/storage";
import { w } from "../../words";
import { megabytes } from "../hooks";
import { intoView, Trouble } from "../kit/bits";
import { say } from "../kit/say";

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

/** What can be freed here, with its button; else how it becomes so. */
function Free({ r, freed }: { r: Room; freed?: () => void }) {
  const [e, setE] = useState<unknown>();
  if (r.droppable.photos === 0)
    return (
      <p>
        {w.roomLeft.nothing}{" "}
        <a class="link" href="/unsent">
          {w.unsentScreen.title}
        </a>
      </p>
    );
  const drop = async (): Promise<void> => {
    try {
      say(w.unsentScreen.dropped(await dropSentOriginals()));
      freed?.();
    } catch (x) {
      setE(x);
    }
  };
  return (
    <>
      <div class="btns">
        <button type="button" class="btn" onClick={() => void drop()}>
          {w.unsentScreen.drop(r.droppable.photos, megabytes(r.droppable.bytes))}
        </button>
      </div>
      <Trouble e={e} />
    </>
  );
}

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
      <Free r={r} />
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
      {r && <Free r={r} freed={again} />}
    </div>
  );
}
