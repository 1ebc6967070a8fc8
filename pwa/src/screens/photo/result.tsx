// The result: the photo with its dimensions, a tab for each fastener, the way to save.
import { useEffect, useLayoutEffect, useRef, useState } from "preact/hooks";
import type { Document, Summary } from "../../bridge/types";
import { discardDraft } from "../../data/photos";
import { go, path } from "../../router";
import { w } from "../../words";
import { wide } from "../hooks";
import { Trouble } from "../kit/bits";
import { useAuthor } from "../kit/author";
import { askDates } from "../kit/dates";
import { say } from "../kit/say";
import { Act, Sheet } from "../kit/sheet";
import { AboutPhoto } from "./aboutphoto";
import { afterSave } from "./aftersave";
import { AllList, Tabs } from "./allfasteners";
import { Correct } from "./correct";
import { Discard } from "./discard";
import { Looks } from "./looks";
import { Obstacles, obstacles } from "./obstacles";
import { One } from "./onefastener";
import { RefusedPhoto } from "./refused";
import { Bare, PhotoWithInk } from "./resultphoto";
import { keepUnread, saveWork } from "./save";
import { inOrder, tagsTitle } from "./tags";
import { useWork, type InWork } from "./usework";
import { AboutViews, OneMore } from "./views";
import { Which } from "./which";
import { Opening } from "../kit/opening";

/** Whether anything was not decided by what there is. */
const undecided = (stand: Summary[], doc: Document): boolean =>
  stand.some((s, i) => s.whole === "too close" || s.missing.length > 0 || !!doc.locations[i]!.ask);

function stepWords(d: NonNullable<InWork["doing"]>): string {
  const step = w.result.steps[d.what] ?? w.result.working;
  return d.photo ? w.result.photoStep(d.photo, step) : step;
}

export function ResultScreen({ id }: { id: string }) {
  const k = useWork(id);
  const [mode, setMode] = useState<"see" | "correct" | "look">("see");
  const [tab, setTab] = useState<number>();
  const [e, setE] = useState<unknown>();
  const [saving, setSaving] = useState(false);
  const [sure, setSure] = useState(false);
  const author = useAuthor();
  const back = k.view ? path("part", k.view.part.id) : "/parts";
  const doc = k.doc,
    tags = k.assigned.map((a) => a.tag);
  const order = inOrder(k);
  useEffect(() => setTab(undefined), [doc]);
  const asked = (k.placed?.ask ?? -1) >= 0;
  // What is shown anew is read from its beginning, however far down the last thing was read.
  const panel = useRef<HTMLDivElement>(null);
  useLayoutEffect(() => panel.current?.scrollTo(0, 0), [mode, tab, asked]);
  const title =
    tagsTitle(order.filter((i) => k.assigned[i]!.loc !== "none").map((i) => tags[i]!)) ||
    w.result.title;
  const facts = [k.view?.part.name, k.view?.part.drawing].filter(Boolean).join(" · ");
  useEffect(() => {
    if (mode !== "see") return;
    const f = (ev: KeyboardEvent): void => {
      if ((ev.target as Element).closest?.("input, select, textarea") || !doc) return;
      const n = Number(ev.key);
      const i = order[n - 1];
      if (i !== undefined) setTab((t) => (t === i ? undefined : i));
    };
    addEventListener("keydown", f);
    return () => removeEventListener("keydown", f);
  }, [doc, mode, order.join()]);
  if (k.draft === null || (k.draft && !k.draft.part))
    return (
      <Sheet
        title={w.result.title}
        back={back}
        strip={
          <Act go to="/parts">
            {w.toParts}
          </Act>
        }
      >
        <div class="pad stack">
          <h2 class="message">{k.draft ? w.snapScreen.noPart : w.nothingHere}</h2>
          {k.draft && (
            <p>
              <a class="link" href={`/photos`}>
                {w.unsentScreen.drafts}
              </a>
            </p>
          )}
        </div>
      </Sheet>
    );
  if (!k.draft || !k.view) return <Opening title={w.result.title} back={back} error={k.error} />;
  if (!k.view.spec)
    return (
      <Sheet
        title={w.result.title}
        facts={facts}
        back={back}
        strip={
          <Act go to={path("part", k.view.part.id, "edit")}>
            {w.part.change}
          </Act>
        }
      >
        <div class="pad stack">
          <h2 class="message">{w.part.needSize}</h2>
          <p class="note">{w.result.keptUnread}</p>
        </div>
      </Sheet>
    );
  if (mode === "correct") return <Correct k={k} at={tab} done={() => setMode("see")} />;
  const doing = k.doing && {
    what: `${stepWords(k.doing)}.`,
    fraction: k.doing.fraction,
  };
  const discard = async (): Promise<void> => {
    await discardDraft(id);
    go(back, { replace: true });
  };
  if (!doc) {
    return (
      <Sheet
        title={w.result.title}
        facts={facts}
        back={back}
        as="still"
        doing={doing}
        cell={{ label: w.result.photo, value: k.draft.photo.slice(0, 4) }}
        strip={
          k.doing ? (
            <Act act={k.cancel}>{w.cancel}</Act>
          ) : (
            <>
              <Act act={() => void discard()}>{w.result.discardYes}</Act>
              <Act go act={() => void k.measure()}>
                {w.result.again}
              </Act>
            </>
          )
        }
      >
        <Bare k={k} />
        <div class="pad stack scrolls">
          <h2>{k.doing ? w.result.working : w.result.cancelled}</h2>
          <p class="note">{w.result.keptUnread}</p>
          <Trouble e={k.error} safe={w.result.keptUnread} />
        </div>
      </Sheet>
    );
  }
  const problem = doc.problems[0];
  if (problem && doc.locations.length === 0) {
    const keep = async (): Promise<void> => {
      try {
        await keepUnread(k, problem.code);
        say(w.result.keptUnread);
        go(back, { replace: true });
      } catch (x) {
        setE(x);
      }
    };
    const nothing = problem.code === "nothing-found",
      point = nothing && !!doc.spec.mark;
    return (
      <Sheet
        title={w.result.refusedTitle}
        facts={facts}
        back={back}
        as={wide.value ? "split still" : "still"}
        doing={doing}
        cell={{ label: w.result.photo, value: k.draft.photo.slice(0, 4) }}
        strip={
          <>
            <Act go={point} act={() => setMode("correct")}>
              {nothing ? w.result.pointAt : w.result.byHand}
            </Act>
            <Act go={!point} icon="snap" to={path("part", k.view.part.id, "snap")}>
              {w.result.snapAgain}
            </Act>
          </>
        }
      >
        <Bare k={k} />
        <RefusedPhoto k={k} problem={problem} e={e ?? k.error} keep={() => void keep()}>
          <Discard sure={sure} set={setSure} act={discard} />
        </RefusedPhoto>
      </Sheet>
    );
  }
  const open = k.judged.reduce((a, j) => a + (j?.unlooked?.length ?? 0), 0);
  const keep = async (): Promise<void> => {
    setSaving(true);
    try {
      await askDates({
        project: k.view!.project.id,
        taken: doc.taken,
        photo: k.draft!.photo,
        locations: k.assigned.flatMap((a, i) => (a.location && k.judged[i] ? a.location.id : [])),
      });
      await author.keep();
      const s = await saveWork(k);
      await afterSave(k);
      say(w.result.saved(s.tags.length ? w.result.onWork(w.result.isAre(s.tags)) : ""));
    } catch (x) {
      setE(x);
      setSaving(false);
    }
  };
  const { standing, lessStrict, why } = obstacles(k, saving);
  const stand = doc.locations.map((l, i) => k.judged[i] ?? l);
  return (
    <Sheet
      title={title}
      facts={facts}
      back={back}
      as={wide.value ? "split still tabbed" : "still"}
      doing={doing}
      cell={{ label: w.result.photo, value: k.draft.photo.slice(0, 4) }}
      more={[
        {
          label: w.history.limitsNow,
          value: k.view.spec.own_limits?.name ?? k.view.spec.limit_set ?? "",
        },
      ]}
      strip={
        k.doing ? (
          <Act act={k.cancel}>{w.cancel}</Act>
        ) : mode === "look" ? (
          <Act go act={() => setMode("see")}>
            {w.done}
          </Act>
        ) : (
          <>
            <Act
              icon="pen"
              act={() => {
                k.fix();
                setMode("correct");
              }}
            >
              {w.result.correct}
            </Act>
            <Act
              icon="eye"
              act={() => {
                k.fix();
                setMode("look");
              }}
            >
              {w.result.look} <span class="count">{open}</span>
            </Act>
            {asked && tab !== undefined ? (
              <Act go act={() => setTab(undefined)}>
                {w.which.act}
              </Act>
            ) : (
              <Act go icon="save" why={why ?? author.why} act={() => void keep()}>
                {w.save}
              </Act>
            )}
          </>
        )
      }
    >
      <PhotoWithInk k={k} tab={tab} stand={stand} tags={tags} choose={setTab} />
      <Tabs k={k} order={order} stand={stand} tab={tab} choose={setTab} />
      <div
        ref={panel}
        class="scrolls right"
        role="tabpanel"
        id="tab-panel"
        tabIndex={0}
        aria-label={tab === undefined ? w.result.all : tags[tab]}
      >
        <Trouble e={e ?? k.error} />
        <Obstacles part={k.view.part.id} standing={standing} lessStrict={lessStrict} />
        {author.ask && <div class="pad">{author.ask}</div>}
        {mode === "look" ? (
          <Looks k={k} />
        ) : tab === undefined ? (
          <>
            {asked && <Which k={k} />}
            <OneMore k={k} undecided={!asked && undecided(stand, doc)} />
            <AboutViews k={k} />
            <AllList k={k} stand={stand} open={setTab} />
          </>
        ) : (
          <One k={k} i={tab} />
        )}
        {tab === undefined && mode === "see" && (
          <AboutPhoto k={k}>
            <Discard sure={sure} set={setSure} act={discard} />
          </AboutPhoto>
        )}
      </div>
    </Sheet>
  );
}
