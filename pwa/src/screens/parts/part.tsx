// A part: its layout picture with pins, and the list that is the picture's equal.
import { useState, useEffect } from "preact/hooks";
import type { Location, PartView, Place } from "../../bridge/types";
import { go, path } from "../../router";
import { w } from "../../words";
import { asTyped, sizeName } from "../finding";
import { handbook, useLive, wide } from "../hooks";
import { Empty, Field, Select, Trouble, Waiting } from "../kit/bits";
import { LayoutPicture, toPin } from "../kit/pins";
import { ShapeRows } from "../kit/shaperow";
import { Icon } from "../kit/shapes";
import { Act, Sheet } from "../kit/sheet";
import { Unsaved } from "../kit/unsaved";
import { remember, units } from "../prefs";
import { useRole } from "../role";
import { signStands } from "../signoff";
import { fits, notesBy, type Filter } from "./find";
import { LocationRow } from "./locationrow";
import { RivetRows } from "./rivetrows";
import { MoreLinks } from "./partmore";

export function PartScreen({ id }: { id: string }) {
  const view = useLive("state.part", { id });
  const entries = useLive("state.concerning", { id });
  const [find, setFind] = useState<{ on: boolean; text: string; show: Filter }>({
    on: false,
    text: "",
    show: "all",
  });
  const [near, setNear] = useState<string[]>();
  const [chosen, setChosen] = useState<Set<string>>();
  const role = useRole(),
    builder = role !== "inspector";
  const signs = useLive("state.sign-offs", { id }).value;
  const v = view.value,
    known = !!v;
  useEffect(() => {
    if (known) void remember({ part: id });
  }, [id, known]);
  if (!v)
    return (
      <Sheet
        title={w.part.title}
        back="/parts"
        strip={
          <Act to="/parts" go>
            {w.toParts}
          </Act>
        }
      >
        {view.error ? <Trouble e={view.error} /> : <Waiting />}
      </Sheet>
    );
  const places = v.places.filter((p) => !p.location.out),
    all = places.map((p) => p.location);
  const notes = notesBy(entries.value ?? []);
  const match = ({ location: l }: Place): boolean =>
    fits(l, find.show) &&
    (find.text === "" ||
      l.tag.toLowerCase().includes(find.text.toLowerCase()) ||
      (notes.get(l.id) ?? "").toLowerCase().includes(find.text.toLowerCase()));
  const list = (
    near ? places.filter((p) => near.includes(p.location.id)) : places.filter(match)
  ).sort((a, b) => (find.on || near ? 0 : a.urgency - b.urgency));
  const h = handbook();
  const facts = [
    v.part.drawing,
    v.spec &&
      w.part.rivetFact(
        sizeName(v.spec.nominal_mm, h?.solid, h?.pulled) ?? asTyped(v.spec.nominal_mm),
      ),
  ]
    .filter(Boolean)
    .join(" · ");
  const work = all.filter((l) => l.work?.length).length;
  const open = (ids: string[]): void => {
    if (chosen) setChosen(toggle(chosen, ids[0]!));
    else if (ids.length > 1) setNear(ids);
    else go(path("location", ids[0]!));
  };
  const choosing = chosen !== undefined,
    stands = signStands(v.part, signs);
  const strip = choosing ? (
    <>
      <Act act={() => setChosen(undefined)}>{w.cancel}</Act>
      <Act
        go
        icon="snap"
        why={chosen.size === 0 ? w.result.nothingToSave : undefined}
        act={() => go(`${path("part", id, "snap")}?at=${[...chosen].join(",")}`)}
      >
        {w.part.snapChosen} {chosen.size > 0 && chosen.size}
      </Act>
    </>
  ) : !builder ? (
    <>
      <Act to={path("part", id, "more")}>{w.part.more}</Act>
      <Act go icon="sign" to={path("part", id, "sign")}>
        {w.part.signOff}
      </Act>
    </>
  ) : (
    <>
      <Act to={path("part", id, "layout")}>{w.part.add}</Act>
      <Act to="/work">
        {w.part.work} <span class="count">{work}</span>
      </Act>
      <Act go icon="snap" to={path("part", id, "snap")}>
        {wide.value ? w.addPhotos : w.snap}
      </Act>
    </>
  );
  return (
    <Sheet
      title={v.part.name || w.part.title}
      facts={facts}
      back="/parts"
      as={wide.value ? "split" : ""}
      more={[{ label: w.settings.units.toLowerCase(), value: units.value }]}
      strip={strip}
    >
      <div class="left">
        {all.some((l) => l.pin) && (
          <LayoutPicture
            layout={v.part.layout}
            behind={v.behind}
            label={w.part.layoutName(v.part.name, all.length)}
            open={open}
            most={wide.value ? 620 : 360}
            {...(builder && { hold: (l: string) => setChosen(new Set([l])) })}
            pins={all.map((l) => ({ ...toPin(l), ...(choosing && { chosen: chosen.has(l.id) }) }))}
          />
        )}
        <OffTheMap v={v} all={all} />
        {all.length === 0 && (
          <Empty title={w.part.none}>
            <p>{w.part.noneDo}</p>
          </Empty>
        )}
      </div>
      <section class="right">
        {v.part.clashes?.map((c) => (
          <div class="said" key={c.what}>
            <p>
              <b>{w.part.clash(w.part.clashOf[c.what])}</b>
              {c.what === "name" || c.what === "drawing" ? ` · ${c.before} / ${c.now}` : ""}
            </p>
            <p class="note">{w.part.clashDo}</p>
          </div>
        ))}
        {stands && (
          <a class="row" href={path("part", id, "sign")}>
            <Icon i="sign" />
            <span class="what">
              {stands.bad ? <b>{stands.bad}</b> : stands.text}
              <small>{stands.bad ? stands.text : w.sign.current}</small>
            </span>
            <Icon i="next" />
          </a>
        )}
        {builder && <Unsaved part={id} />}
        {all.length > 0 && (
          <ListHead
            near={!!near}
            all={() => setNear(undefined)}
            finding={find.on}
            find={() => setFind({ on: !find.on, text: "", show: "all" })}
            choosing={choosing}
            choose={builder ? () => setChosen(choosing ? undefined : new Set()) : undefined}
          />
        )}
        {find.on && (
          <div class="pad two">
            <Field
              label={w.part.search}
              value={find.text}
              set={(text) => setFind({ ...find, text })}
            />
            <Select<Filter>
              label={w.part.filter}
              value={find.show}
              set={(show) => setFind({ ...find, show })}
              of={(Object.keys(w.part.filters) as Filter[]).map((f) => ({
                value: f,
                text: w.part.filters[f],
              }))}
            />
          </div>
        )}
        {all.length > 0 && list.length === 0 && <p class="pad">{w.part.noneFit}</p>}
        <ul class="rows">
          {list.map((p) => (
            <li key={p.location.id}>
              <LocationRow
                p={p}
                choose={
                  choosing
                    ? {
                        on: chosen.has(p.location.id),
                        set: () => setChosen(toggle(chosen, p.location.id)),
                      }
                    : undefined
                }
              />
            </li>
          ))}
        </ul>
        <RivetRows part={id} of={v.rivets} />
        <ShapeRows part={id} of={v.part.shapes} />
        <Trouble e={entries.error} />
        <MoreLinks v={v} />
      </section>
    </Sheet>
  );
}

/** What is not on the map yet, and what brings it there. */
function OffTheMap({ v, all }: { v: PartView; all: Location[] }) {
  const off = all.filter((l) => !l.pin).map((l) => l.tag);
  if (off.length === 0) return null;
  const text =
    off.length === all.length
      ? w.part.noPins
      : v.part.layout?.from
        ? w.part.offPhotos(off)
        : w.part.offMap(off);
  return <p class="pad note">{text}</p>;
}

const toggle = (s: Set<string>, id: string): Set<string> => {
  const n = new Set(s);
  if (!n.delete(id)) n.add(id);
  return n;
};

/** What the list shows, and the ways to choose in it or to look for one. */
function ListHead({
  near,
  all,
  finding,
  find,
  choosing,
  choose,
}: {
  near: boolean;
  all: () => void;
  finding: boolean;
  find: () => void;
  choosing: boolean;
  choose: (() => void) | undefined;
}) {
  return (
    <div class="head">
      <h2>{near ? w.part.near : finding ? w.part.all : w.part.first}</h2>
      <span>
        {near ? (
          <button class="link" type="button" onClick={all}>
            {w.part.all}
          </button>
        ) : (
          <>
            {choose && (
              <button class="link" type="button" aria-pressed={choosing} onClick={choose}>
                {w.part.choose}
              </button>
            )}
            {"  "}
            <button class="link" type="button" aria-expanded={finding} onClick={find}>
              {w.part.find}
            </button>
          </>
        )}
      </span>
    </div>
  );
}
