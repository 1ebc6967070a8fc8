// What waits on this phone, the way to the laptop, the room that is left.
import { clockAhead } from "../../sync/api";
import { useEffect, useState } from "preact/hooks";
import type { EntryKind } from "../../bridge/types";
import { handOver } from "../../capture/files";
import { diskChanged } from "../../data/changes";
import type { OutboxRow } from "../../data/db";
import { askToPersist, room, type Room } from "../../data/storage";
import { eye } from "../../eye";
import { saveToFile, takeInFile } from "../../sync/file";
import { waiting } from "../../sync/push";
import { lastSync, sync, syncState, unsent } from "../../sync/sync";
import { w } from "../../words";
import { time } from "../dates";
import { megabytes, usePicture } from "../hooks";
import { FileButton, Trouble, upper } from "../kit/bits";
import { Free } from "../kit/free";
import { say } from "../kit/say";
import { Act, clockOff, Sheet } from "../kit/sheet";

const u = w.unsentScreen;

function age(ms: number): string {
  const min = Math.max(0, Math.floor((Date.now() - ms) / 60_000));
  return min < 60
    ? `${min} min`
    : min < 2880
      ? `${Math.floor(min / 60)} h ${min % 60 < 10 ? "0" : ""}${min % 60}`
      : `${Math.floor(min / 1440)} d`;
}

export function UnsentScreen() {
  const n = unsent.value,
    s = syncState.value,
    disk = diskChanged.value;
  const [rows, setRows] = useState<OutboxRow[]>(), // until they are read nothing is said to be sent
    [r, setR] = useState<Room>(),
    [e, setE] = useState<unknown>();
  useEffect(() => {
    void waiting().then(setRows, setE);
    void room().then(setR, setE);
  }, [disk, s]);
  const seen = lastSync.value ? time(lastSync.value) : undefined;
  const [title, note] =
    s.is === "sample"
      ? [u.sample, ""]
      : s.is === "out-of-reach"
        ? [u.away, u.awayNote(seen)]
        : s.is === "unpaired"
          ? [u.unpaired, u.unpairedNote]
          : s.is === "refused"
            ? [u.refusedTitle, `${upper(s.problem.title)}. ${s.problem.do ?? ""}`]
            : s.is === "failed"
              ? [u.failed, `${w.faultSafe} ${s.message}`]
              : s.is === "working"
                ? [u.working, s.progress ? u.workingNote(s.progress.sent, s.progress.total) : ""]
                : !rows
                  ? [w.opening, ""]
                  : n.entries + n.photos + rows.length === 0
                    ? [u.none, seen ? u.noneNote : u.never]
                    : [u.waiting, u.waitingNote];
  const file = async (): Promise<void> => {
    try {
      const f = await saveToFile();
      await handOver(f.name, f.file);
      say(u.fileSaved(f.entries, f.photos));
    } catch (x) {
      setE(x);
    }
  };
  const take = async (f: File): Promise<void> => {
    try {
      const t = await takeInFile(eye, f);
      say(u.takenIn(t.entries, t.photos, t.already, t.damaged));
      void sync({ byHand: true });
    } catch (x) {
      setE(x);
    }
  };
  const fraction = r?.quota ? r.used / r.quota : 0,
    mine = r?.quota ? n.bytes / r.quota : 0;
  return (
    <Sheet
      title={u.title}
      facts={u.facts(n.photos, n.entries)}
      back="/parts"
      as="column"
      cell={{ label: u.oldest, value: n.oldestAt ? age(n.oldestAt) : "–" }}
      doing={
        s.is === "working"
          ? {
              what: `${u.working}.`,
              fraction: s.progress?.total ? s.progress.sent / s.progress.total : 0.1,
            }
          : undefined
      }
      strip={
        <>
          <Act act={() => void file()}>{u.file}</Act>
          <Act
            go
            act={() => void sync({ byHand: true })}
            why={s.is === "sample" ? u.sample : undefined}
          >
            {u.tryNow}
          </Act>
        </>
      }
    >
      <div class="pad stack" role="status">
        <h2 class="message">{title}</h2>
        {note && <p>{note}</p>}
        {clockOff() && <p class="said bad">{u.clock(clockAhead.value > 0, clockOff()!)}</p>}
        {s.is === "unpaired" && (
          <p>
            <a class="link" href="/pair">
              {w.pair.title}
            </a>
          </p>
        )}
      </div>
      <Trouble e={e} />
      <ul class="rows">
        {rows?.slice(0, 30).map((x) => (
          <li key={x.key}>
            <WaitRow x={x} />
          </li>
        ))}
      </ul>
      {rows && rows.length > 30 && (
        <p class="pad note">
          {rows.length - 30} {w.partsScreen.more}
        </p>
      )}
      <div class="head gap">
        <h2>{u.room}</h2>
      </div>
      <div class="pad stack">
        {r &&
          (r.quota > 0 ? (
            <>
              <div class="bar roombar" aria-hidden="true">
                <b style={{ width: `${Math.max(0.5, mine * 100)}%` }} />
                <i style={{ width: `${Math.max(0.5, (fraction - mine) * 100)}%` }} />
              </div>
              <p class="top2">
                <span>{u.unsentNever(megabytes(n.bytes))}</span>
                <span>{u.roomOf(megabytes(r.used), megabytes(r.quota))}</span>
              </p>
            </>
          ) : (
            <p class="note">{u.roomUnknown}</p>
          ))}
        {r && Number.isFinite(r.photosLeft) && r.low && (
          <p class="caution">{u.low(r.photosLeft)}</p>
        )}
        {r && <Free r={r} />}
        {r && (
          <p class="note">
            {r.persisted === undefined ? u.keepUnknown : r.persisted ? u.keeps : u.mayClear}
          </p>
        )}
        {r?.persisted === false && (
          <button
            type="button"
            class="link"
            onClick={() =>
              void askToPersist().then(async (ok) => {
                say(ok ? u.keeps : u.mayClear);
                setR(await room());
              })
            }
          >
            {u.askKeep}
          </button>
        )}
        <p class="note">{u.address}</p>
        <FileButton accept=".bucktail,application/octet-stream" files={(f) => void take(f[0]!)}>
          {u.takeIn}
        </FileButton>
      </div>
    </Sheet>
  );
}

function WaitRow({ x }: { x: OutboxRow }) {
  const url = usePicture(x.what === "photo" ? x.hash : undefined, "preview");
  return (
    <div class="row">
      {x.what === "photo" ? (
        url ? (
          <img class="thumb" src={url} alt="" />
        ) : (
          <span class="thumb" />
        )
      ) : null}
      <span class="what">
        <b>{x.what === "photo" ? u.photo : (w.entry[x.kind as EntryKind] ?? u.entry)}</b>{" "}
        {x.hash.slice(0, 8)}
        <small>
          {megabytes(x.bytes)} · {time(x.at)} ·{" "}
          {x.refused ? `${x.refused.title}. ${x.refused.do ?? ""}` : u.waits}
        </small>
      </span>
    </div>
  );
}
