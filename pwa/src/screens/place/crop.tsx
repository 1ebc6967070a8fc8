// A piece of a photo: the fastener as it was.
import { useEffect, useRef } from "preact/hooks";
import type { Crop } from "../../bridge/types";
import { photo, picture } from "../../data/photos";
import { piece } from "../../data/pieces";
import { w } from "../../words";

interface Props {
  /** Undefined: there is no photo; "": not known yet. */
  hash: string | undefined;
  crop: Crop | undefined;
  width?: number | undefined;
  alt: string;
  /** The sharp piece that is looked at where the photo itself is not here. */
  from?: Crop | undefined;
}

export function CropView({ hash, crop, width, alt, from }: Props) {
  const ref = useRef<HTMLCanvasElement>(null);
  const key = `${hash} ${crop?.x} ${crop?.y} ${crop?.w}`;
  useEffect(() => {
    if (!hash) return;
    let gone = false;
    void (async () => {
      const row = await photo(hash);
      const sharp = from && !row?.original ? await piece(hash, from) : undefined;
      const blob = sharp ?? (await picture(hash, row?.original ? "original" : "preview"));
      if (!blob || gone) return;
      const full = await createImageBitmap(blob, { imageOrientation: "from-image" });
      const c = ref.current,
        g = c?.getContext("2d");
      if (c && g && !gone) {
        // A preview is smaller than the photo that the crop was written for.
        const k = sharp ? full.width / from!.w : width ? full.width / width : 1,
          off = sharp ? from! : { x: 0, y: 0 },
          r = crop ?? { x: 0, y: 0, w: full.width / k, h: full.height / k };
        c.width = c.height = 320;
        g.imageSmoothingQuality = "high";
        const side = Math.max(r.w, r.h) * k,
          x = (r.x - off.x + r.w / 2) * k - side / 2,
          y = (r.y - off.y + r.h / 2) * k - side / 2;
        g.drawImage(full, x, y, side, side, 0, 0, 320, 320);
      }
      full.close();
    })().catch(() => undefined);
    return () => {
      gone = true;
    };
  }, [key]);
  if (!hash)
    return <span class="crop">{hash === undefined && <small>{w.history.noPhoto}</small>}</span>;
  return <canvas class="crop" ref={ref} role="img" aria-label={alt} />;
}
