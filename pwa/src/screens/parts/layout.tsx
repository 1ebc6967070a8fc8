// New locations on the layout picture: by tap, row or grid.
import { useState } from "preact/hooks";
import type { Draft, Pin } from "../../bridge/types";
import { save } from "../../data/entries";
import { back, path, route } from "../../router";
import { w } from "../../words";
import { useLive, wide } from "../hooks";
import { Choice, Field, Trouble } from "../kit/bits";
import { LayoutPicture, toPin } from "../kit/pins";
import { say } from "../kit/say";
import { Act, Sheet } from "../kit/sheet";
import { count, between } from "./between";
import { ByFigures, FreshList } from "./fresh";
import { PictureForm } from "./pictureform";
import { FromPhotos, TightPins } from "./pinrules";
import { Opening } from "../kit/opening";

type How = "tap" | "row" | "grid";

export function LayoutScreen({ id }: { id: string }) {
  const view = useLive("state.part", { id });
  const [how, setHow] = useState<How>("tap");
  const [fresh, setFresh] = useState<Pin[]>([]);
  const [corner, setCorner] = useState<Pin>();
  const [n, setN] = useState({ across: "6", down: "2", prefix: "R", plain: "", x: "", y: "" });
  const [e, setE] = useState<unknown>();
  const v = view.value;
  const pinOf = route.value.query.get("pin");
  if (!v)
    return <Opening title={w.layoutScreen.title} back={path("part", id)} error={view.error} />;
  const all = v.places.map((p) => p.location);
  const first =
    1 +
    Math.max(
      0,
      ...all
        .filter((l) => l.tag.startsWith(n.prefix))
        .map((l) => Number(l.tag.slice(n.prefix.length)) || 0),
    );
  const moved = all.find((l) => l.id === pinOf);
  const place = (p: Pin): void => {
    if (moved)
      return void keepDrafts(
        [
          {
            kind: "location",
            project: v.project.id,
            part: id,
            location: moved.id,
            data: { pin: p },
          },
        ],
        w.location.saved,
      );
    if (how === "tap") setFresh([...fresh, p]);
    else if (!corner) setCorner(p);
    else {
      setFresh([
        ...fresh,
        ...between(
          corner,
          p,
          Math.max(how === "row" ? 2 : 1, count(n.across)),
          how === "row" ? 1 : Math.max(1, count(n.down)),
        ),
      ]);
      setCorner(undefined);
    }
  };
  const keepDrafts = async (drafts: Draft[], words: string): Promise<void> => {
    try {
      await save(drafts);
      say(words);
      back(path("part", id));
    } catch (x) {
      setE(x);
    }
  };
  const here = all.filter((l) => !l.out && l.pin),
    shown = here.map((l) => l.pin!);
  const tags = [...here.map((l) => l.tag), ...fresh.map((_, i) => `${n.prefix}${first + i}`)];
  const plain = count(n.plain);
  const total = fresh.length + plain;
  const add = (): Promise<void> =>
    keepDrafts(
      [...fresh, ...Array.from({ length: plain }, () => undefined)].map((pin, i) => ({
        kind: "location" as const,
        project: v.project.id,
        part: id,
        data: { tag: `${n.prefix}${first + i}`, ...(pin && { pin }) },
      })),
      w.layoutScreen.saved(total),
    );
  const pins = [
    ...all.filter((l) => !l.out).map(toPin),
    ...fresh.map((pin, i) => ({
      id: `new-${i}`,
      tag: `${n.prefix}${first + i}`,
      pin,
      stage: "marked" as const,
      chosen: true,
    })),
    ...(corner
      ? [{ id: "corner", tag: "+", pin: corner, stage: "marked" as const, chosen: true }]
      : []),
  ];
  const mm =
    v.part.layout?.width_mm && v.part.layout.height_mm
      ? { w: v.part.layout.width_mm, h: v.part.layout.height_mm }
      : undefined;
  return (
    <Sheet
      title={moved ? w.layoutScreen.setPin(moved.tag) : w.layoutScreen.title}
      facts={v.part.name}
      back={path("part", id)}
      as={wide.value ? "split" : ""}
      strip={
        <>
          <Act
            act={() => (corner ? setCorner(undefined) : setFresh(fresh.slice(0, -1)))}
            why={fresh.length || corner ? undefined : w.layoutScreen.none}
          >
            {w.undo}
          </Act>
          {total === 0 && all.length === 0 ? (
            <Act go icon="snap" to={path("part", id, "snap")}>
              {w.snap}
            </Act>
          ) : (
            <Act
              go
              icon="save"
              why={total === 0 ? w.layoutScreen.none : undefined}
              act={() => void add()}
            >
              {w.layoutScreen.add(total)}
            </Act>
          )}
        </>
      }
    >
      <div class="left">
        <LayoutPicture
          layout={v.part.layout}
          behind={v.behind}
          pins={pins}
          label={w.part.layoutName(v.part.name, all.length)}
          place={place}
          most={wide.value ? 620 : 330}
        />
      </div>
      <section class="right">
        <div class="pad stack">
          <Trouble e={e} />
          {all.length === 0 && <p class="note">{w.layoutScreen.orSnap}</p>}
          <TightPins part={id} pins={[...shown, ...fresh]} tags={tags} from={shown.length} />
          {!moved && (
            <Choice<How>
              label={w.layoutScreen.how}
              value={how}
              set={(x) => {
                setHow(x);
                setCorner(undefined);
              }}
              of={[
                { value: "tap", text: w.layoutScreen.tap },
                { value: "row", text: w.layoutScreen.row },
                { value: "grid", text: w.layoutScreen.grid },
              ]}
              hint={
                {
                  tap: w.layoutScreen.hintTap,
                  row: w.layoutScreen.hintRow,
                  grid: w.layoutScreen.hintGrid,
                }[how]
              }
            />
          )}
          {!moved && (
            <div class="two">
              <Field
                label={w.layoutScreen.prefix}
                value={n.prefix}
                set={(prefix) => setN({ ...n, prefix })}
              />
              {how !== "tap" && (
                <Field
                  label={how === "row" ? w.layoutScreen.count : w.layoutScreen.countAcross}
                  mode="numeric"
                  value={n.across}
                  set={(across) => setN({ ...n, across })}
                />
              )}
              {how === "grid" && (
                <Field
                  label={w.layoutScreen.countDown}
                  mode="numeric"
                  value={n.down}
                  set={(down) => setN({ ...n, down })}
                />
              )}
            </div>
          )}
          <ByFigures n={n} set={(c) => setN({ ...n, ...c })} mm={mm} place={place} />
          {!moved && (
            <details>
              <summary>{w.layoutScreen.noPins}</summary>
              <Field
                label={w.layoutScreen.count}
                mode="numeric"
                value={n.plain}
                set={(p) => setN({ ...n, plain: p })}
                hint={w.layoutScreen.noPinsNote}
              />
            </details>
          )}
        </div>
        {fresh.length > 0 && (
          <FreshList
            tags={fresh.map((_, i) => `${n.prefix}${first + i}`)}
            remove={(i) => setFresh(fresh.filter((__, j) => j !== i))}
          />
        )}
        {!moved && v.part.layout?.from && <FromPhotos v={v} />}
        {!moved && !v.part.layout?.from && (
          <PictureForm
            part={id}
            project={v.project.id}
            open={route.value.query.has("picture") || (!v.part.layout && all.length === 0)}
          />
        )}
      </section>
    </Sheet>
  );
}
