// All that waits for a decision: what is within may be ticked and confirmed together, each as a
// decision of its own. What is within as far as it was read has its own tick, and is named apart
// before it is confirmed.
import { useState } from "preact/hooks";
import { save } from "../../data/entries";
import { w } from "../../words";
import { Empty, Line, Trouble, Waiting } from "../kit/bits";
import { say } from "../kit/say";
import { V } from "../kit/shapes";
import { Act, Sheet } from "../kit/sheet";
import { MainStrip } from "../mainstrip";
import { LocationRow } from "../parts/locationrow";
import { useRole } from "../role";
import { inspectAt, type PartStand, useAwaiting, type Waits } from "./awaiting";
import { SignRows } from "./signrows";
import { SignerLine, useSigner, whoText } from "./signer";

export function InspectList() {
  const { list, parts } = useAwaiting(),
    x = w.inspect;
  const s = useSigner(),
    builder = useRole() !== "inspector";
  const [ticked, setTicked] = useState(new Set<string>()),
    [sure, setSure] = useState(false),
    [e, setE] = useState<unknown>();
  if (!list)
    return (
      <Sheet title={x.list} back="/inspect">
        <Waiting />
      </Sheet>
    );
  // What was decided, or changed, meanwhile is no longer among them.
  const chosen = list.filter((y) => ticked.has(key(y)));
  const confirm = async (): Promise<void> => {
    try {
      await save(
        chosen.map(({ l }) => ({
          kind: "decision" as const,
          project: l.project,
          part: l.part,
          location: l.id,
          data: { finding: l.finding!, answer: "confirmed" as const, ...s.data },
        })),
      );
      say(x.savedMany(chosen.length));
      setTicked(new Set());
      setSure(false);
    } catch (err) {
      setE(err);
    }
  };
  const groups = parts
    .map((p) => ({ p, waits: list.filter((y) => y.part.id === p.part.id) }))
    .filter((g) => g.waits.length > 0);
  if (sure && chosen.length > 0) {
    return (
      <Sheet
        title={x.sure(chosen.length)}
        facts={s.who && whoText(s.who)}
        back="/inspect/list"
        as="column"
        strip={
          <>
            <Act act={() => setSure(false)}>{w.cancel}</Act>
            <Act go single icon="sign" act={() => void confirm()}>
              {x.confirmTicked(chosen.length)}
            </Act>
          </>
        }
      >
        <div class="pad stack">
          <Trouble e={e} />
          <p>{x.sureNote(s.who ? whoText(s.who) : "")}</p>
          {chosen.some(notAll) && <p class="caution">{x.sureUnread}</p>}
          <p class="note">
            {x.lookFirst} {w.cautionPhoto}
          </p>
        </div>
        {groups.map(({ p, waits }) => {
          const of = waits.filter((y) => ticked.has(key(y)));
          return (
            of.length > 0 && (
              <section key={p.part.id}>
                <div class="head">
                  <h2>{p.part.name}</h2>
                  <small>{of.length}</small>
                </div>
                {!of.every(notAll) && (
                  <p class="pad tags">
                    {of
                      .filter((y) => !notAll(y))
                      .map((y) => (
                        <b key={y.l.id}>{y.l.tag}</b>
                      ))}
                  </p>
                )}
                {of.some(notAll) && (
                  <ul class="rows">
                    {of.filter(notAll).map((y) => (
                      <Line
                        key={y.l.id}
                        tag={y.l.tag}
                        what={<V v={y.l.whole} n={y.l.not_read} />}
                        small={x.notRead(y.place.now?.not_read.join(", ") ?? "")}
                      />
                    ))}
                  </ul>
                )}
              </section>
            )
          );
        })}
      </Sheet>
    );
  }
  const strip =
    list.length === 0 ? (
      <MainStrip here="inspect" />
    ) : s.why ? (
      <>
        <Act to="/inspect">{x.oneByOne}</Act>
        <Act go icon="sign" to="/inspect/who">
          {builder ? x.enter : x.whoGo}
        </Act>
      </>
    ) : (
      <>
        <Act to="/inspect">{x.oneByOne}</Act>
        <Act go icon="sign" why={chosen.length ? undefined : x.tickFirst} act={() => setSure(true)}>
          {x.confirmTicked(chosen.length)}
        </Act>
      </>
    );
  const toggle = (ys: Waits[], on: boolean): void => {
    const n = new Set(ticked);
    for (const y of ys)
      if (on) n.add(key(y));
      else n.delete(key(y));
    setTicked(n);
  };
  return (
    <Sheet
      title={x.list}
      facts={x.listFacts(list.length)}
      back="/inspect"
      as="column"
      strip={strip}
    >
      <Trouble e={e} />
      {list.length === 0 ? (
        <Empty title={x.none}>
          <p>{x.noneNote}</p>
        </Empty>
      ) : (
        <p class="pad note">{x.tickNote}</p>
      )}
      {groups.map((g) => (
        <Group key={g.p.part.id} {...g} ticked={ticked} toggle={toggle} may={!s.why} />
      ))}
      <SignerLine s={s} />
      <SignRows parts={parts} />
    </Sheet>
  );
}

const notAll = (y: Waits): boolean => y.l.whole === "unread";
/** What may be confirmed together with others: all that was read is within. */
const together = (y: Waits): boolean => y.l.whole === "within" || notAll(y);

/** A tick is for the finding that was seen, not for the place: another measurement takes it away. */
const key = (y: Waits): string => `${y.l.id} ${y.l.last_id}`;

function Group({
  p,
  waits,
  ticked,
  toggle,
  may,
}: {
  p: PartStand;
  waits: Waits[];
  ticked: Set<string>;
  toggle: (ys: Waits[], on: boolean) => void;
  may: boolean;
}) {
  const ways = (["within", "unread"] as const)
    .map((v) => ({ v, of: waits.filter((y) => y.l.whole === v) }))
    .filter((x) => x.of.length > 0);
  return (
    <section>
      <div class="head">
        <h2>{p.part.name}</h2>
        {may && (
          <span class="ways">
            {ways.map(({ v, of }) => {
              const all = of.every((y) => ticked.has(key(y)));
              return (
                <button type="button" class="link" key={v} onClick={() => toggle(of, !all)}>
                  {(all ? w.inspect.tickNone : w.inspect.tickAll)[v]}
                </button>
              );
            })}
          </span>
        )}
      </div>
      <ul class="rows">
        {waits.map((y) => (
          <li key={y.l.id} class="ticked">
            {may && together(y) ? (
              <label class="tick">
                <input
                  type="checkbox"
                  aria-label={w.inspect.tick(y.l.tag, w.headline(y.l.whole!, y.l.not_read ?? 0))}
                  checked={ticked.has(key(y))}
                  onChange={(e) => toggle([y], e.currentTarget.checked)}
                />
              </label>
            ) : (
              may && <span class="tick" />
            )}
            <LocationRow p={y.place} to={inspectAt(y.l.id)} />
          </li>
        ))}
      </ul>
    </section>
  );
}
