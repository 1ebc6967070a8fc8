// The preparation list of a part, its primer and sealant, and the session's test coupons.
import { useState } from "preact/hooks";
import type { Coat, CouponData, PartView, PrepData, Seen } from "../../bridge/types";
import { save, type NewPhoto } from "../../data/entries";
import { path } from "../../router";
import { bw } from "../../words/bench";
import { ow } from "../../words/order";
import { time } from "../dates";
import { useLive } from "../hooks";
import { Choice, Field, FileButton, Select, Tick, Trouble } from "../kit/bits";
import { say } from "../kit/say";
import { Act, Sheet } from "../kit/sheet";
import { newPhoto } from "../place/newphoto";
import { useAsk, useKept } from "./form";
import { Opening } from "../kit/opening";

const nothing = {};
const noCoat: Coat = { what: "primer", name: "" };

export function PrepScreen({ id }: { id: string }) {
  const view = useLive("state.part", { id });
  const v = view.value;
  const proposed = useAsk("preparation", nothing).value;
  const [d, set] = useKept<PrepData | undefined>(`prep ${id}`, undefined);
  const [photos, setPhotos] = useState<NewPhoto[]>([]);
  const [kind, setKind] = useState("gusset");
  const [e, setE] = useState<unknown>();
  const l = ow.prep;
  if (!v) return <Opening title={l.title} back={path("part", id)} error={view.error} />;
  const now: PrepData = d ?? {
    items: v.part.prep?.items ?? [],
    coats: v.part.prep?.coats ?? [],
  };
  const items = now.items.filter((x) => x.text.trim());
  const put = (i: number, c: Partial<PrepData["items"][number]>): void =>
    set({ ...now, items: now.items.map((x, j) => (j === i ? { ...x, ...c } : x)) });
  const coats = now.coats ?? [];
  const putCoat = (i: number, c: Partial<Coat>): void =>
    set({ ...now, coats: coats.map((x, j) => (j === i ? { ...x, ...c } : x)) });
  const named = coats.filter((c) => c.name.trim());
  // What was typed of one without a name would be lost.
  const unnamed = coats.some(
    (c) => !c.name.trim() && [c.batch, c.date, c.cure].some((x) => x?.trim()),
  );
  const keep = async (): Promise<void> => {
    try {
      await save(
        [
          {
            kind: "preparation",
            project: v.project.id,
            part: id,
            data: { items, ...(named.length > 0 && { coats: named }) },
          },
        ],
        { photos: photos.filter((p) => items.some((x) => x.photo === p.hash)) },
      );
      say(l.saved);
      set(undefined as unknown as PrepData);
      setPhotos([]);
    } catch (x) {
      setE(x);
    }
  };
  return (
    <Sheet
      title={l.title}
      facts={v.part.name}
      back={path("part", id)}
      as="column"
      cell={{
        label: l.list.toLowerCase(),
        value: items.length ? l.left(items.filter((x) => !x.done).length) : "–",
      }}
      strip={
        <>
          <Act to={`/exports?part=${id}`}>{l.print}</Act>
          <Act
            go
            icon="save"
            why={!items.length ? l.need : unnamed ? l.needCoat : undefined}
            act={() => void keep()}
          >
            {l.save}
          </Act>
        </>
      }
    >
      <div class="pad stack">
        <Trouble e={e} />
        {now.items.length === 0 && (
          <>
            <Select
              label={l.kind}
              value={kind}
              set={setKind}
              of={Object.keys(proposed ?? {}).map((k) => ({ value: k, text: k }))}
            />
            <button
              type="button"
              class="btn"
              onClick={() =>
                set({ ...now, items: (proposed?.[kind] ?? []).map((text) => ({ text })) })
              }
            >
              {l.take}
            </button>
          </>
        )}
        {now.items.map((x, i) => (
          <div class="stack" key={i}>
            <Tick checked={!!x.done} set={(done) => put(i, { done })}>
              {x.text || l.line} {x.photo && <small>{l.hasPhoto}</small>}
            </Tick>
            <details>
              <summary>{l.more}</summary>
              <div class="stack">
                <Field label={l.line} value={x.text} set={(text) => put(i, { text })} />
                <Field label={l.note} value={x.note ?? ""} set={(note) => put(i, { note })} />
                <FileButton
                  files={(f) =>
                    void newPhoto(f[0]!).then((p) => {
                      setPhotos([...photos, p]);
                      put(i, { photo: p.hash });
                    }, setE)
                  }
                >
                  {l.photo}
                </FileButton>
              </div>
            </details>
          </div>
        ))}
        <div>
          <button
            type="button"
            class="link"
            onClick={() => set({ ...now, items: [...now.items, { text: "" }] })}
          >
            {l.add}
          </button>
        </div>
      </div>
      <div class="head">
        <h2>{l.coats}</h2>
      </div>
      <div class="pad stack">
        {coats.map((c, i) => (
          <div class="stack" key={i}>
            <Choice
              label={l.what}
              value={c.what}
              set={(what) => putCoat(i, { what })}
              of={Object.entries(l.kinds).map(([value, text]) => ({ value, text }))}
            />
            <div class="two">
              <Field label={l.name} value={c.name} set={(name) => putCoat(i, { name })} />
              <Field label={l.batch} value={c.batch ?? ""} set={(batch) => putCoat(i, { batch })} />
              <Field label={l.date} value={c.date ?? ""} set={(date) => putCoat(i, { date })} />
              <Field
                label={l.cure}
                hint={l.cureHint}
                value={c.cure ?? ""}
                set={(cure) => putCoat(i, { cure })}
              />
            </div>
            <Tick checked={!!c.wet} set={(wet) => putCoat(i, { wet })}>
              {l.wet}
            </Tick>
          </div>
        ))}
        <button
          type="button"
          class="link"
          onClick={() => set({ ...now, coats: [...coats, noCoat] })}
        >
          {l.addCoat}
        </button>
      </div>
      <Coupons v={v} />
    </Sheet>
  );
}

function Coupons({ v }: { v: PartView }) {
  const l = ow.prep;
  const [lot, setLot] = useState(""),
    [push, setPush] = useState<Seen>("not looked"),
    [feeler, setFeeler] = useState<Seen>("not looked"),
    [note, setNote] = useState(""),
    [photo, setPhoto] = useState<NewPhoto>(),
    [e, setE] = useState<unknown>();
  const answers = (["no", "yes", "not looked"] as const).map((value) => ({
    value,
    text: l.answers[value],
  }));
  const keep = async (): Promise<void> => {
    if (!lot.trim()) return setE(new Error(l.needLot));
    const data: CouponData = {
      spec: v.spec!,
      lot: lot.trim(),
      push,
      feeler,
      ...(v.part.layers && { layers: v.part.layers }),
      ...(photo && { photo: photo.hash }),
      ...(note.trim() && { note: note.trim() }),
    };
    try {
      await save([{ kind: "coupon", project: v.project.id, part: v.part.id, data }], {
        photos: photo ? [photo] : [],
      });
      say(l.couponSaved);
      setLot("");
      setPush("not looked");
      setFeeler("not looked");
      setNote("");
      setPhoto(undefined);
      setE(undefined);
    } catch (x) {
      setE(x);
    }
  };
  return (
    <>
      <div class="head">
        <h2>{l.coupons}</h2>
      </div>
      <ul class="bounds">
        {v.part.coupons?.map((c) => (
          <li key={c.entry}>
            <span class="at">
              <b>{c.lot}</b>
              <span>
                {c.push === "yes" || c.feeler === "yes"
                  ? l.failed
                  : c.push === "no" && c.feeler === "no"
                    ? l.passed
                    : l.untried}
              </span>
            </span>
            <small>
              {time(c.at)}; {l.push.toLowerCase()}: {l.answers[c.push]}; {l.feeler.toLowerCase()}:{" "}
              {l.answers[c.feeler]}
              {c.photo && `; ${l.hasPhoto}`}
              {c.note && `; ${c.note}`}
            </small>
          </li>
        ))}
      </ul>
      {v.spec ? (
        <details class="pad">
          <summary>{l.coupon}</summary>
          <div class="stack">
            <p class="note">{l.couponNote}</p>
            <Field label={l.lot} value={lot} set={setLot} />
            <FileButton files={(f) => void newPhoto(f[0]!).then(setPhoto, setE)}>
              {photo ? l.hasPhoto : l.photo}
            </FileButton>
            <Choice label={l.push} hint={l.pushHint} value={push} set={setPush} of={answers} />
            <Choice
              label={l.feeler}
              hint={l.feelerHint}
              value={feeler}
              set={setFeeler}
              of={answers}
            />
            <Field label={l.note} value={note} set={setNote} />
            <Trouble e={e} />
            <button type="button" class="btn" onClick={() => void keep()}>
              {l.saveCoupon}
            </button>
          </div>
        </details>
      ) : (
        <p class="pad note">{bw.needRivet}</p>
      )}
    </>
  );
}
