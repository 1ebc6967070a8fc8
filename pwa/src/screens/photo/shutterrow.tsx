// The strip of the live view: lamp or camera app, the shutter, photos that are there already; without a
// live view the camera app and the photos alone.
import { useState } from "preact/hooks";
import { w } from "../../words";
import { FileButton } from "../kit/bits";
import { Icon } from "../kit/shapes";
import type { useCamera } from "./usecamera";

export function ShutterRow({
  v: { cam, none },
  take,
  shoot,
}: {
  v: ReturnType<typeof useCamera>;
  take: (files: File[]) => void;
  shoot: () => void;
}) {
  const [lamp, setLamp] = useState(false);
  const camera = (
    <FileButton class={none ? "go" : "quiet"} camera files={take}>
      <Icon i="snap" />
      {w.snapScreen.camera}
    </FileButton>
  );
  const photos = (
    <FileButton class={none ? "" : "quiet"} many files={take}>
      <Icon i="photos" />
      {w.snapScreen.photos}
    </FileButton>
  );
  if (none)
    return (
      <>
        {photos}
        {camera}
      </>
    );
  return (
    <div class="shutterrow">
      <span class="quietgroup">
        {cam?.offers.torch ? (
          <button
            type="button"
            class="quiet"
            aria-pressed={lamp}
            onClick={() => {
              void cam.setTorch(!lamp).then((ok) => {
                if (ok) setLamp(!lamp);
              });
            }}
          >
            <Icon i="lamp" />
            {lamp ? w.snapScreen.lampOn : w.snapScreen.lamp}
          </button>
        ) : (
          camera
        )}
      </span>
      <button
        type="button"
        class="shutter"
        aria-label={w.snapScreen.shutter}
        onClick={() => shoot()}
      />
      {photos}
    </div>
  );
}
