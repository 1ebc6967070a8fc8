// The layout picture itself: a photo of the part, or a drawn grid.
import { useState } from "preact/hooks";
import { save } from "../../data/entries";
import { discardDraft, takeIn, photo } from "../../data/photos";
import { eye } from "../../eye";
import { w } from "../../words";
import { Field, FileButton, Trouble } from "../kit/bits";
import { say } from "../kit/say";
import { number } from "./between";

export function PictureForm({
  part,
  project,
  open,
}: {
  part: string;
  project: string;
  open: boolean;
}) {
  const [d, set] = useState({ width: "240", height: "160", step: "10" });
  const [e, setE] = useState<unknown>();
  const good = number(d.width) >= 1 && number(d.height) >= 1;
  const grid = async (): Promise<void> => {
    try {
      await save([
        {
          kind: "layout",
          project,
          part,
          data: {
            width_mm: number(d.width),
            height_mm: number(d.height),
            ...(number(d.step) > 0 && { step_mm: number(d.step) }),
          },
        },
      ]);
      say(w.layoutScreen.pictureSaved);
    } catch (x) {
      setE(x);
    }
  };
  const picture = async (file: File): Promise<void> => {
    try {
      const { draft } = await takeIn(eye, file, { project, part });
      const row = await photo(draft.photo);
      const upright = await createImageBitmap(row!.original!, { imageOrientation: "from-image" });
      const { width, height } = upright;
      upright.close();
      await save([
        {
          kind: "layout",
          project,
          part,
          data: { photo: draft.photo, width_px: width, height_px: height },
        },
      ]);
      await discardDraft(draft.id);
      say(w.layoutScreen.pictureSaved);
    } catch (x) {
      setE(x);
    }
  };
  return (
    <details open={open} class="pad">
      <summary>{w.layoutScreen.picture}</summary>
      <div class="stack">
        <Trouble e={e} />
        <FileButton class="btn wide" files={(f) => void picture(f[0]!)}>
          {w.layoutScreen.photo}
        </FileButton>
        <div class="two">
          <Field
            label={w.layoutScreen.width}
            unit="mm"
            mode="decimal"
            value={d.width}
            set={(width) => set({ ...d, width })}
          />
          <Field
            label={w.layoutScreen.height}
            unit="mm"
            mode="decimal"
            value={d.height}
            set={(height) => set({ ...d, height })}
          />
          <Field
            label={w.layoutScreen.step}
            unit="mm"
            mode="decimal"
            value={d.step}
            set={(step) => set({ ...d, step })}
          />
        </div>
        <button
          type="button"
          class="btn wide"
          aria-disabled={!good}
          onClick={() => {
            if (good) void grid();
          }}
        >
          {w.layoutScreen.use}
        </button>
      </div>
    </details>
  );
}
