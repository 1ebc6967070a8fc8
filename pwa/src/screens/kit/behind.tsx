// The photo behind pins that were measured in it, rectified: the browser draws it in perspective.
import type { Behind } from "../../bridge/types";
import { usePicture } from "../hooks";

/** Width at which the picture is laid out before it is bent into place, px. */
const LAID = 1000;

export function PhotoBehind({
  b,
  x,
  y,
  w: W,
  h: H,
}: {
  b: Behind;
  x: number;
  y: number;
  w: number;
  h: number;
}) {
  const url = usePicture(b.photo, "preview");
  if (!url) return null;
  const m = b.map as [number, number, number, number, number, number, number, number, number];
  // Fractions of the photo become its laid-out pixels, fractions of the layout those of the frame.
  const a = LAID,
    c = LAID * b.ratio;
  const by = [
    [(m[0] * W) / a, (m[1] * W) / c, m[2] * W],
    [(m[3] * H) / a, (m[4] * H) / c, m[5] * H],
    [m[6] / a, m[7] / c, m[8]],
  ] as const;
  const columns = [0, 1, 2].map((i) => [by[0][i], by[1][i], 0, by[2][i]].join()) as [
    string,
    string,
    string,
  ];
  return (
    <div
      class="behind"
      style={{ left: `${x}px`, top: `${y}px`, width: `${W}px`, height: `${H}px` }}
    >
      <img
        src={url}
        alt=""
        style={{
          width: `${a}px`,
          height: `${c}px`,
          transform: `matrix3d(${columns[0]},${columns[1]},0,0,1,0,${columns[2]})`,
        }}
      />
    </div>
  );
}
