// Who decides: name and number as the inspector typed them, asked once. A builder enters what was
// written on paper, with one photo of the page for all that stands on it.
import { useState } from "preact/hooks";
import { setSetting } from "../../data/db";
import { dropUnnamed, keepPage } from "../../data/photos";
import { eye } from "../../eye";
import { back } from "../../router";
import { w } from "../../words";
import { Field, FileButton, Trouble } from "../kit/bits";
import { askDates } from "../kit/dates";
import { Act, Sheet } from "../kit/sheet";
import { CropView } from "../place/crop";
import { memory, remember, type Inspector } from "../prefs";
import { useRole } from "../role";
import { same, whoText } from "./signer";

export function WhoScreen() {
  const m = memory.value,
    builder = useRole() !== "inspector",
    x = w.inspect;
  const [who, setWho] = useState<Inspector>(m?.inspector ?? { name: "", number: "" });
  const [page, setPage] = useState({
      photo: m?.page?.photo ?? "",
      date: m?.page?.date ?? "",
      no: m?.page?.no ?? "",
    }),
    [e, setE] = useState<unknown>();
  const [numbered, setNumbered] = useState(false);
  // Another name brings its own number, or none: the one before belongs to somebody else.
  const named = (name: string): void =>
    setWho({
      name,
      number: numbered
        ? who.number
        : ((m?.inspectors ?? []).find((i) => i.name === name.trim())?.number ?? ""),
    });
  const now: Inspector = { name: who.name.trim(), number: who.number.trim() };
  // Another inspector's page is not taken over with the name.
  const mine =
    builder && page.photo && (!m?.page || page.photo !== m.page.photo || same(m.page, now));
  const others = (m?.inspectors ?? []).filter((i) => !same(i, now));
  const why = !now.name ? x.needName : builder && !mine ? x.needPaper : undefined;
  /** A photo that was taken here and is not used after all. */
  const forget = (next?: string): Promise<void> =>
    page.photo && page.photo !== m?.page?.photo && page.photo !== next
      ? dropUnnamed(page.photo).catch(() => undefined)
      : Promise.resolve();
  const take = async (f: File): Promise<void> => {
    try {
      const photo = await keepPage(eye, f);
      await forget(photo);
      setPage({ photo, date: "", no: "" });
      setE(undefined);
    } catch (err) {
      setE(err);
    }
  };
  const cancel = (): void => void forget().then(() => back("/inspect"));
  const done = async (): Promise<void> => {
    const old = m?.page;
    const project = m?.project ?? "";
    try {
      if (mine && page.date) await askDates({ project, page: page.date });
    } catch (err) {
      return setE(err);
    }
    await remember({
      inspector: now,
      inspectors: [now, ...(m?.inspectors ?? []).filter((i) => !same(i, now))].slice(0, 8),
      ...(mine && { page: { ...now, ...page } }),
    });
    if (!builder) await setSetting("by", now.name); // who stands beside each entry of an inspector's own device
    if (mine && old && old.photo !== page.photo)
      await dropUnnamed(old.photo).catch(() => undefined);
    back("/inspect");
  };
  return (
    <Sheet
      title={builder ? x.paperTitle : x.who}
      facts={builder ? x.paperFacts : x.whoFacts}
      back="/inspect"
      as="column"
      strip={
        <>
          <Act act={cancel}>{w.cancel}</Act>
          <Act go why={why} act={() => void done()}>
            {x.use}
          </Act>
        </>
      }
    >
      <div class="pad stack">
        <Trouble e={e} />
        <p class="note">{builder ? x.paperNote : x.whoNote}</p>
        <Field label={x.name} value={who.name} auto={builder ? "off" : "name"} set={named} />
        <Field
          label={x.number}
          value={who.number}
          set={(number) => {
            setNumbered(true);
            setWho({ ...who, number });
          }}
        />
      </div>
      {others.length > 0 && (
        <>
          <div class="head">
            <h2>{x.earlier}</h2>
          </div>
          <ul class="rows">
            {others.map((i) => (
              <li key={whoText(i)}>
                <button
                  type="button"
                  class="row"
                  onClick={() => {
                    setNumbered(false);
                    setWho(i);
                  }}
                >
                  <span class="what">{whoText(i)}</span>
                </button>
              </li>
            ))}
          </ul>
        </>
      )}
      {builder && (
        <>
          <div class="head">
            <h2>{x.paperPhoto}</h2>
          </div>
          <div class="pad stack">
            {mine && (
              <div class="page">
                <CropView hash={page.photo} crop={undefined} alt={x.paperPhoto} key={page.photo} />
              </div>
            )}
            <div class="btns">
              <FileButton camera files={(f) => void take(f[0]!)}>
                {mine ? x.paperAnother : x.paperSnap}
              </FileButton>
              <FileButton files={(f) => void take(f[0]!)}>{x.paperFile}</FileButton>
            </div>
            {mine && (
              <div class="two">
                <Field
                  label={x.paperDate}
                  type="date"
                  value={page.date}
                  set={(date) => setPage({ ...page, date })}
                />
                <Field
                  label={x.paperNo}
                  mode="numeric"
                  value={page.no}
                  set={(no) => setPage({ ...page, no })}
                />
              </div>
            )}
            <p>
              <a class="link" href="/exports">
                {x.printForm}
              </a>
            </p>
          </div>
        </>
      )}
    </Sheet>
  );
}
