// The strip of the live view: lamp or camera app, the shutter, photos that are there already.
import type { Camera } from "../../capture/camera";
import { w } from "../../words";
import { FileButton } from "../kit/bits";
import { Icon } from "../kit/shapes";

export function ShutterRow({
  cam,
  lamp,
  setLamp,
  take,
  shoot,
}: {
  cam: Camera | undefined;
  lamp: boolean;
  setLamp: (on: boolean) => void;
  take: (files: File[]) => void;
  shoot: () => void;
}) {
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
          <FileButton class="quiet" camera files={(f) => take(f)}>
            <Icon i="snap" />
            {w.snapScreen.camera}
          </FileButton>
        )}
      </span>
      <button
        type="button"
        class="shutter"
        aria-label={w.snapScreen.shutter}
        onClick={() => shoot()}
      />
      <FileButton class="quiet" many files={(f) => take(f)}>
        <Icon i="photos" />
        {w.snapScreen.photos}
      </FileButton>
    </div>
  );
}
