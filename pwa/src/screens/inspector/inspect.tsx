// The inspector's screen: what waits for a decision, one after the other, with all that was seen.
import { useEffect, useRef, useState } from "preact/hooks";
import type { Disposition, LocationView } from "../../bridge/types";
import { save } from "../../data/entries";
import { go, path, route } from "../../router";
import { w } from "../../words";
import { nowAt } from "../finding";
import { useLive, wide } from "../hooks";
import { Empty, Field, Trouble, Waiting } from "../kit/bits";
import { say } from "../kit/say";
import { Icon, V } from "../kit/shapes";
import { Act, Sheet } from "../kit/sheet";
import { MainStrip } from "../mainstrip";
import { byWhom, Checks } from "../photo/checks";
import { drawnOf, FindingPhoto, type Drawn } from "../photo/drawn";
import { Attempts } from "../place/attempts";
import { useRole } from "../role";
import { inspectAt, useAwaiting, type Waits } from "./awaiting";
import { decided } from "./decided";
import { SignRows } from "./signrows";
import { Story } from "./story";
import { SignerLine, useSigner, whoText } from "./signer";

export function InspectScreen() {
  const { list, parts } = useAwaiting();
  const at = route.value.query.get("at"),
    id = at ?? list?.[0]?.l.id;
  const now = useLive("state.location", { id: id ?? "" }).value,
    before = useRef(now);
  // The old one stands until the next is there; it can't be decided on any more.
  const stale = !now || now.location.id !== id,
    v = stale ? before.current : (before.current = now);
  const part = v?.part.id ?? "",
    all = useLive("state.concerning", { id: part }).value,
    came = useLive("state.came", { id: part }).value,
    places = useLive("state.part", { id: part }).value?.places;
  const title = useRole() === "inspector" ? w.inspect.title : w.inspect.titleBuilder,
    cell = { label: w.inspect.waiting, value: list?.length ?? "–", to: "/inspect/list" };
  if (!list)
    return (
      <Sheet title={title} back="/parts" cell={cell} strip={<MainStrip here="inspect" />}>
        <Waiting />
      </Sheet>
    );
  if (!id)
    return (
      <Sheet
        title={title}
        back="/parts"
        cell={cell}
        as="column"
        strip={<MainStrip here="inspect" />}
      >
        <Empty title={w.inspect.none}>
          <p>{w.inspect.noneNote}</p>
        </Empty>
        <SignRows parts={parts} />
      </Sheet>
    );
  if (!v)
    return (
      <Sheet title={title} back="/parts" cell={cell}>
        <Waiting />
      </Sheet>
    );
  if (!v.location.finding)
    return (
      <Sheet
        title={title}
        back={path("location", id)}
        cell={cell}
        as="column"
        strip={<MainStrip here="inspect" />}
      >
        <Empty title={`${v.location.tag}: ${w.part.notMeasured}`} />
      </Sheet>
    );
  const drawn = all && places && came && drawnOf(all, places, came, v);
  return (
    <One
      v={v}
      list={list}
      drawn={drawn}
      photoless={!!all && !!places && !!came && !drawn}
      stale={stale}
    />
  );
}

function One({
  v,
  list,
  drawn,
  photoless,
  stale,
}: {
  v: LocationView;
  list: Waits[];
  drawn: Drawn | undefined;
  photoless: boolean;
  stale: boolean;
}) {
  const l = v.location,
    i = list.findIndex((x) => x.l.id === l.id),
    x = w.inspect;
  const builder = useRole() !== "inspector",
    s = useSigner();
  const [mode, setMode] = useState<"rejected" | "re-measure">(),
    [reason, setReason] = useState(""),
    [busy, setBusy] = useState(false),
    [e, setE] = useState<unknown>();
  useEffect(() => {
    setMode(undefined);
    setReason("");
    setE(undefined);
  }, [l.id, l.finding]);
  useEffect(() => {
    document.querySelector(".main .scrolls")?.scrollTo(0, 0);
  }, [mode, l.id]);
  const now = nowAt(v);
  const decide = async (answer: Disposition): Promise<void> => {
    if (busy || stale) return;
    setBusy(true);
    try {
      await save([
        {
          kind: "decision",
          project: v.project.id,
          part: v.part.id,
          location: l.id,
          data: {
            finding: l.finding!,
            answer,
            ...(reason.trim() && answer !== "confirmed" && { reason: reason.trim() }),
            ...s.data,
          },
        },
      ]);
      say(x.saved(l.tag, x.decided[answer] ?? ""), { text: x.undo, to: inspectAt(l.id) });
      const next = list[i + 1] ?? list.find((o) => o.l.id !== l.id);
      go(next ? inspectAt(next.l.id) : "/inspect", { replace: true });
    } catch (err) {
      setE(err);
    } finally {
      setBusy(false);
    }
  };
  const strip = s.why ? (
    <Act go icon="sign" to="/inspect/who">
      {builder ? x.enter : x.whoGo}
    </Act>
  ) : mode ? (
    <>
      <Act act={() => setMode(undefined)}>{w.cancel}</Act>
      <Act go why={reason.trim() ? undefined : x.needReason} act={() => void decide(mode)}>
        {mode === "rejected" ? x.reject : x.again}
      </Act>
    </>
  ) : (
    <>
      <Act act={() => setMode("rejected")}>{x.reject}</Act>
      <Act act={() => setMode("re-measure")}>{x.again}</Act>
      <Act go single act={() => void decide("confirmed")}>
        {x.confirm}
      </Act>
    </>
  );
  const step = (to: Waits | undefined, name: string, icon: string) => (
    <button
      type="button"
      aria-label={name}
      disabled={!to}
      onClick={() => go(inspectAt(to!.l.id), { replace: true })}
    >
      <Icon i={icon} />
    </button>
  );
  const said = decided(l, v.entries);
  return (
    <Sheet
      title={builder ? x.titleBuilder : x.title}
      facts={[v.project.name, s.who && whoText(s.who)].filter(Boolean).join(" · ")}
      back="/parts"
      cell={{ label: x.waiting, value: list.length, to: "/inspect/list" }}
      as={wide.value ? "split still tabbed" : "still"}
      strip={strip}
    >
      {drawn ? (
        <FindingPhoto d={drawn} class="result-photo left" key={l.finding} />
      ) : (
        <div class="photo result-photo left">
          {photoless && <p class="words">{w.history.noPhoto}</p>}
        </div>
      )}
      <div class="stepper right">
        {step(list[i - 1], x.prev, "back")}
        <h2>
          {l.tag}, {v.part.name}
          <small>
            {[i < 0 ? x.notWaiting : x.of(i + 1, list.length), v.part.drawing]
              .filter(Boolean)
              .join(" · ")}
          </small>
        </h2>
        {step(i < 0 ? list[0] : list[i + 1], w.next, "next")}
      </div>
      <div class="scrolls right" tabIndex={0} role="region" aria-label={l.tag}>
        <Trouble e={e} />
        {mode && (
          <div class="pad stack">
            <h3>{mode === "rejected" ? x.rejectTitle(l.tag) : x.againTitle(l.tag)}</h3>
            <Field area label={x.reason} value={reason} set={setReason} />
          </div>
        )}
        <div class="row">
          <V v={l.whole} n={l.not_read} stage={l.stage} />
          <span class="rd">
            <small>
              {w.history.attempt} {w.history.of(l.attempt, l.attempts.length || 1)}
            </small>
          </span>
        </div>
        {said.length > 0 && (
          <div class="pad said">
            {said.map((line) => (
              <p key={line}>{line}</p>
            ))}
          </div>
        )}
        {v.looks.length > 1 && <Attempts v={v} key={l.id} />}
        {now && (
          <Checks
            s={now}
            readings={now.readings}
            by={byWhom(v)}
            notes={now.notes}
            brief
            key={l.finding}
          />
        )}
        <Story v={v} />
        <p class="pad note">
          {x.lookFirst} {w.cautionPhoto}
        </p>
        <SignerLine s={s} />
        <p class="pad">
          <a class="link" href={path("location", l.id)}>
            {w.history.title}
          </a>
        </p>
      </div>
    </Sheet>
  );
}
