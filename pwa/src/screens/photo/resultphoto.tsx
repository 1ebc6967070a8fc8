// The photo of a result: bare, or with its dimensions.
import { useEffect, useState } from "preact/hooks";
import type { Point, Summary } from "../../bridge/types";
import { w } from "../../words";
import { usePicture } from "../hooks";
import { foot, project, toSheet } from "./camera";
import { plan } from "./dims";
import { inkText, ZoomButton } from "./drawn";
import { Ink } from "./ink";
import { frameRound, PhotoView } from "./photoview";
import type { InWork } from "./usework";

/** The photo alone, with the rings of the card that were seen. */
export function Bare({ k }: { k: InWork }) {
  const url = usePicture(k.draft?.photo, "preview");
  return (
    <div class="photo result-photo left">
      {url && (
        <img
          src={url}
          alt={w.result.title}
          style={{ position: "absolute", width: "100%", height: "100%", objectFit: "contain" }}
        />
      )}
    </div>
  );
}

export function PhotoWithInk({
  k,
  tab,
  stand,
  tags,
  choose,
}: {
  k: InWork;
  tab: number | undefined;
  stand: Summary[];
  tags: string[];
  choose: (i: number | undefined) => void;
}) {
  const doc = k.doc!;
  const url = usePicture(k.draft?.photo, "original");
  const [zoom, setZoom] = useState(1);
  const photo = { w: doc.width ?? 1, h: doc.height ?? 1 };
  const pxPerMM = doc.scale ? 1 / doc.scale.mm_per_px : 15;
  const one = tab !== undefined ? doc.locations[tab] : undefined;
  const near: Point[] = one
    ? [one.centre_px]
    : doc.locations.filter((l) => !l.ask || doc.locations.length === 1).map((l) => l.centre_px);
  const cam = doc.scale?.camera,
    edge = one?.readings
      .filter((r) => r.edge_px)
      .sort((a, b) => a.value_mm - b.value_mm)[0]?.edge_px;
  if (one && cam && edge)
    near.push(project(cam, foot(one.sheet_mm, toSheet(cam, edge[0]), toSheet(cam, edge[1]))));
  const frame = frameRound(near, (one ? 9 : 13) * pxPerMM, photo);
  const locations = doc.locations.map((l, i) => ({
    ...l,
    checks: stand[i]!.checks,
    governing: stand[i]!.governing,
  }));
  const text = inkText(locations.flatMap((l) => l.checks));
  useEffect(() => setZoom(1), [tab]);
  return (
    <PhotoView
      class="result-photo left"
      url={url ?? undefined}
      photo={photo}
      frame={frame}
      zoom={zoom}
      label={w.result.alt(tags.join(", "))}
      tap={(p) => {
        const i = doc.locations.findIndex(
          (l) =>
            Math.hypot(p[0] - l.centre_px[0], p[1] - l.centre_px[1]) <
            Math.max(l.radius_mm * pxPerMM * 1.3, 40),
        );
        choose(i < 0 || i === tab ? undefined : i);
      }}
      ink={(view, size) => (
        <Ink
          plan={plan({
            locations,
            verdicts: doc.locations.map((l, i) => (l.ask ? "" : stand[i]!.whole)),
            tags: k.assigned.map((a) => (a.loc === "none" ? "–" : a.tag)),
            camera: doc.scale?.camera,
            view,
            size,
            chosen: tab,
            text,
          })}
        />
      )}
      over={() => <ZoomButton zoom={zoom} set={setZoom} />}
    />
  );
}
