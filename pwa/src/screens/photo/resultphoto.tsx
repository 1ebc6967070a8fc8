// The photo of a result: bare, or with its dimensions.
import { useEffect, useRef, useState } from "preact/hooks";
import type { Summary } from "../../bridge/types";
import { w } from "../../words";
import { usePicture } from "../hooks";
import { ZoomButton } from "./drawn";
import { place } from "./hand";
import { PhotoView } from "./photoview";
import { Planned, useFrame, useScene, type Shown } from "./planned";
import type { InWork } from "./usework";
import { meant, toScreen } from "./view";
import { shownViews, ViewTabs } from "./views";
import { AskedMarks, soughtAt } from "./which";

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
  const [at, setAt] = useState(0);
  const views = shownViews(k),
    view = views[at];
  const doc = view?.doc ?? k.doc!;
  const url = usePicture(view?.hash ?? k.draft?.photo, "original");
  const [zoom, setZoom] = useState(1);
  const photo = { w: doc.width ?? 1, h: doc.height ?? 1 };
  const shown = useRef<Shown | undefined>(undefined);
  const [size, setSize] = useState({ w: 0, h: 0 });
  const names = doc.locations.map((_, i) => {
    const a = k.assigned[i];
    return !a || a.loc === "none" ? "–" : a.tag;
  });
  const scene = useScene(
    () => ({
      document: {
        ...doc,
        locations: doc.locations.map((l, i) => ({
          ...l,
          checks: stand[i]!.checks,
          whole: stand[i]!.whole,
        })),
      },
      tags: names,
    }),
    [doc, k.judged.length > 0 && k.judged, names.join()],
  );
  const frame = useFrame(scene, tab, size, photo);
  useEffect(() => setAt(0), [k.doc]);
  useEffect(() => setZoom(1), [tab]);
  return (
    <PhotoView
      class="result-photo left"
      url={url ?? undefined}
      photo={photo}
      frame={frame}
      sized={setSize}
      zoom={zoom}
      label={w.result.alt(tags.join(", "))}
      swipe={views[1] && ((by) => setAt((at + by + views.length) % views.length))}
      tap={(p) => {
        const sought = at === 0 && k.placed?.which ? soughtAt(k, p) : -1;
        if (sought >= 0)
          return k.setHand(place(k.hand, doc.locations[sought]!, { loc: k.placed!.which! }));
        const s = shown.current,
          i = s ? meant(s.drawing, toScreen(s.view, p)) : -1;
        choose(i < 0 || i === tab ? undefined : i);
      }}
      ink={(view, room, covered) => (
        <>
          <Planned
            scene={scene}
            chosen={tab}
            view={view}
            size={room}
            covered={covered}
            shown={(s) => (shown.current = s)}
          />
          {tab === undefined && at === 0 && <AskedMarks k={k} view={view} />}
        </>
      )}
      over={() => (
        <>
          <ZoomButton zoom={zoom} set={setZoom} />
          <ViewTabs k={k} at={at} set={setAt} />
        </>
      )}
    />
  );
}
