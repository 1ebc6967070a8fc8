// Devices: kept on the laptop, shown while it is in reach.
import { useEffect, useState } from "preact/hooks";
import { Refusal, type Device, type Problem } from "../../sync/api";
import { w } from "../../words";
import { time } from "../dates";
import { Trouble, Waiting } from "../kit/bits";
import { Act, Sheet } from "../kit/sheet";

async function ask<T>(url: string, init?: RequestInit): Promise<T> {
  const r = await fetch(url, { cache: "no-store", ...init });
  if (r.headers.get("Content-Type")?.startsWith("application/problem+json"))
    throw new Refusal((await r.json()) as Problem);
  if (!r.ok || !r.headers.get("Content-Type")?.startsWith("application/json"))
    throw new Error("away");
  return (await r.json()) as T;
}

export function DevicesScreen() {
  const [list, set] = useState<Device[]>(),
    [away, setAway] = useState(false),
    [e, setE] = useState<unknown>(),
    [sure, setSure] = useState<string>();
  const d = w.devices;
  const load = (): void =>
    void ask<{ devices: Device[] }>("/api/devices").then(
      (x) => set(x.devices),
      (x: unknown) => (x instanceof Refusal ? setE(x) : setAway(true)),
    );
  useEffect(load, []);
  const off = async (id: string): Promise<void> => {
    setSure(undefined);
    try {
      await ask(`/api/devices/${id}/revoke`, { method: "POST" });
      load();
    } catch (x) {
      if (x instanceof Refusal) setE(x);
      else setAway(true);
    }
  };
  return (
    <Sheet
      title={d.title}
      facts={d.facts}
      back="/settings"
      as="column"
      strip={
        <Act go act={load}>
          {w.unsentScreen.tryNow}
        </Act>
      }
    >
      {away && (
        <div class="pad stack">
          <h2 class="message">{d.awayTitle}</h2>
          <p>{d.away}</p>
        </div>
      )}
      <Trouble e={e} />
      {!list && !away && !e && <Waiting />}
      <ul class="rows">
        {list?.map((x) => (
          <li key={x.id}>
            <div class="row">
              <span class="what">
                <b>{x.name}</b>
                <small>
                  {[
                    x.owner ? d.owner : x.role === "inspector" ? d.inspector : d.builder,
                    x.this ? d.this : "",
                    x.revoked_at
                      ? d.off(time(x.revoked_at))
                      : x.seen_at
                        ? d.seen(time(x.seen_at))
                        : "",
                  ]
                    .filter(Boolean)
                    .join(" · ")}
                </small>
                <small>{x.fingerprint ? d.print(x.fingerprint) : d.noKey}</small>
              </span>
              {!x.this &&
                !x.revoked_at &&
                (sure === x.id ? (
                  <button type="button" class="btn" onClick={() => void off(x.id)}>
                    {d.takeOffSure}
                  </button>
                ) : (
                  <button
                    type="button"
                    class="link"
                    onClick={() => setSure(x.id)}
                    aria-label={`${d.takeOff}: ${x.name}`}
                  >
                    {d.takeOff}
                  </button>
                ))}
            </div>
          </li>
        ))}
      </ul>
      <div class="pad stack">
        <p class="note">{d.printNote}</p>
        <p class="note">{d.inviteNote}</p>
        <p>
          <a class="link" href="/laptop">
            {d.openLaptop}
          </a>
        </p>
      </div>
    </Sheet>
  );
}
