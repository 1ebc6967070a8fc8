// Who this device is. The laptop names it when it is paired; until then nothing is written into
// the record.
import { book } from "../data/book";
import { tellChanged } from "../data/changes";
import { db, setting, setSetting, type Identity } from "../data/db";
import { entryWaits, photoWaits, save } from "../data/entries";
import { uuid7 } from "../data/ids";
import { ownKey } from "../data/sign";
import { api, type Me } from "./api";
import { pullAll } from "./pull";

/**
 * Holds what the laptop says of this device against what is known here.
 *
 * A device that is new here gets its chain's end from the laptop first: it may have written under
 * this id before, and a chain must not be continued from anywhere but its end. Another record
 * means a restored backup or another laptop: all of this device's own entries wait again, what is
 * there already does no harm.
 */
export async function adopt(asked: Me): Promise<Identity> {
  const old = await setting("identity");
  const me = await told(asked);
  const same = old?.device === me.device.id && old.record === me.record;
  if (same && old.ready) {
    const now: Identity = {
      ...old,
      name: me.device.name,
      role: me.device.role,
      owner: me.device.owner,
    };
    if (JSON.stringify(now) !== JSON.stringify(old)) await setSetting("identity", now);
    await enterKey(now);
    return now;
  }
  const identity: Identity = {
    device: me.device.id,
    name: me.device.name,
    role: me.device.role,
    owner: me.device.owner,
    record: me.record,
    ready: false,
  };
  await setSetting("identity", identity);
  if (old && old.record !== me.record) {
    await setSetting("cursor", "");
    await waitAgain(me.device.id);
  }
  await pullAll();
  const there = await api.chain(me.device.id);
  const here = await book.call("record.chain", { id: me.device.id });
  if (here.seq < there.seq)
    throw new Error(`the laptop has ${there.seq} entries of this device, ${here.seq} came here`);
  const ready: Identity = { ...identity, ready: true };
  const d = await db();
  const tx = d.transaction("settings", "readwrite");
  await tx.store.put({ device: ready.device, seq: here.seq, hash: here.hash }, "head");
  await tx.store.put(ready, "identity");
  await tx.done;
  if (!(await enterKey(ready)) && here.seq === 0)
    await save([{ kind: "device", data: { name: ready.name } }]);
  tellChanged({ record: true });
  return ready;
}

/**
 * Tells the laptop this device's key. One that lost its key and was invited again goes on under
 * another id: what it signs begins a new chain.
 */
async function told(me: Me): Promise<Me> {
  const key = await ownKey();
  if (!key || (key.told === me.device.id && me.device.key === key.public)) return me;
  const now = await api.tellKey(key.public);
  await setSetting("key", { ...key, told: now.device.id });
  return now;
}

/** Tells the key in the chain, once; from there on all of the chain is signed. */
async function enterKey(me: Identity): Promise<boolean> {
  const key = await setting("key");
  if (!key || key.told !== me.device) return false;
  if (key.entered === me.device) return true;
  await save([{ kind: "device", data: { name: me.name, key: key.public } }]);
  await setSetting("key", { ...key, entered: me.device });
  return true;
}

/** Puts all entries of this device and their photos into the outbox again. */
async function waitAgain(device: string): Promise<void> {
  const d = await db();
  const mine = (await d.getAll("entries")).filter((e) => e.device === device);
  const now = Date.now();
  const told = await book.call(
    "record.read",
    mine.map((e) => JSON.parse(e.raw) as unknown),
  );
  const tx = d.transaction(["outbox", "photos"], "readwrite");
  for (const r of told) {
    if (!r.entry) continue;
    await tx.objectStore("outbox").put(entryWaits(r.entry, now));
    for (const hash of r.entry.photos) {
      const p = await tx.objectStore("photos").get(hash);
      if (p?.original) await tx.objectStore("outbox").put(photoWaits(p, device, now));
    }
  }
  await tx.done;
}

/** Makes the sample record's own device: it has no laptop and sends nothing. */
export async function joinSample(name: string): Promise<void> {
  if (await setting("identity")) return;
  await setSetting("identity", {
    device: uuid7(),
    name,
    role: "builder",
    owner: false,
    record: "sample",
    ready: true,
  });
  await save([{ kind: "device", data: { name } }]);
}

// The sign-in itself can't be seen from scripts: beside it stands a word that says there is one. It
// outlives the phone's disk being cleared, so that the phone is known again then. The laptop's own
// page of joining writes it too.
export const JOINED = "bucktail-joined=yes";

/** Whether this browser has joined; one that has not need not ask the laptop who it is. */
export const hasJoined = (): boolean => document.cookie.split("; ").includes(JOINED);

/** Pairs this device by a one-time code, and takes in the record. */
export async function pair(code: string, name: string): Promise<Identity> {
  const me = await api.redeem(code, name);
  if (typeof document !== "undefined")
    document.cookie = `${JOINED}; path=/; max-age=34560000; samesite=strict`;
  return adopt(me);
}
