// The phone's disk: what is kept and how. Everything that must not be lost is in here before a
// screen says so.
import { openDB, type DBSchema, type IDBPDatabase } from "idb";
import type { Document, Joined, MeasureOptions, Role } from "../bridge/types";

/** A photo by its hash. The original may be dropped once the laptop has it; the preview stays. */
export interface PhotoRow {
  hash: string;
  media: string;
  bytes: number;
  /** Upright pixels; 0 where not known. */
  width: number;
  height: number;
  original?: Blob;
  preview?: Blob;
  /** Milliseconds since 1970, this device's clock. */
  at: number;
  /** SHA-256 of its copy without location data. */
  copy?: string;
  /** The laptop has confirmed that it keeps it. */
  sent: boolean;
}

/** A sharp piece of a photo whose original is on the laptop, by pieceKey. */
export interface PieceRow {
  key: string;
  blob: Blob;
  at: number;
}

export interface EntryRow {
  hash: string;
  id: string;
  raw: string;
  device: string;
  seq: number;
  kind: string;
  part: string;
}

/** What waits to be sent: an entry or a photo. */
export interface OutboxRow {
  /** "entry:" or "photo:" and the hash, so that a thing waits once however often it is put in. */
  key: string;
  what: "entry" | "photo";
  hash: string;
  /** Entries: its id, which is the order of sending. Photos: empty. */
  id: string;
  /** Of an entry; rows of older versions have none. */
  kind?: string;
  device: string;
  at: number;
  bytes: number;
  /** Why the laptop would not take it. */
  refused?: { title: string; do?: string; code: string };
}

/** A photo that was taken and not yet saved to a location: after a crash the work goes on from here. */
export interface DraftRow {
  id: string;
  photo: string;
  at: number;
  project?: string;
  part?: string;
  location?: string;
  options?: MeasureOptions;
  document?: Document;
  /** Further photos of the same place, by hash; all of them together made the document. */
  more?: string[];
  joined?: Joined;
  /** What the screens keep of the work in hand. */
  hand?: unknown;
}

/** Who this device is in the record. */
export interface Identity {
  /** Names its chain. */
  device: string;
  name: string;
  role: Role;
  owner: boolean;
  /** The laptop's record. */
  record: string;
  /** False until the chain's end is known here: nothing may be written before. */
  ready: boolean;
}

/** The key that this device signs with. */
export interface SigningKey {
  secret: CryptoKey;
  /** As entries tell it: the uncompressed point in base64url. */
  public: string;
  /** The device id under which the laptop knows it. */
  told: string;
  /** The chain that tells it. */
  entered: string;
}

export interface Settings {
  identity: Identity;
  key: SigningKey;
  /** The end of this device's chain. */
  head: { device: string; seq: number; hash: string };
  /** How far was pulled. */
  cursor: string;
  /** Who writes, as typed. */
  by: string;
  /** How many entries the sample began with. */
  sampleMade: number;
  /** What the screens remember. */
  preferences: Record<string, unknown>;
}

interface Schema extends DBSchema {
  photos: { key: string; value: PhotoRow };
  pieces: { key: string; value: PieceRow };
  entries: { key: string; value: EntryRow; indexes: { id: string } };
  outbox: { key: string; value: OutboxRow };
  drafts: { key: string; value: DraftRow; indexes: { photo: string } };
  settings: { key: keyof Settings; value: Settings[keyof Settings] };
}
export type DB = IDBPDatabase<Schema>;

const CHOICE = "bucktail-record";
/** What the browser knew of joining when the sample was chosen. */
const CHOSEN = "bucktail-record-chosen";
/** The sample part lives in a record of its own that is never sent. */
export const isSample = (): boolean => globalThis.localStorage?.getItem(CHOICE) === "sample";

/** Changes to the sample record or back; the page must be loaded again after it. */
export function useSample(on: boolean): void {
  if (on) localStorage.setItem(CHOICE, "sample");
  else localStorage.removeItem(CHOICE);
  if (on) localStorage.setItem(CHOSEN, document.cookie);
}

/**
 * Joined since the sample was opened, on the laptop's own page or here: the workshop is open then.
 * To be called before anything is read.
 */
export function leaveSampleOnceJoined(joined: string): void {
  const has = (cookies: string | null): boolean => !!cookies?.includes(joined);
  if (isSample() && has(document.cookie) && !has(localStorage.getItem(CHOSEN))) useSample(false);
}

let opened: Promise<DB> | undefined;

/** Told when another tab holds an older version of the disk open. */
export let onBlocked: () => void = () => undefined;
export function whenBlocked(f: () => void): void {
  onBlocked = f;
}

export function db(): Promise<DB> {
  opened ??= open().catch((e: unknown) => {
    opened = undefined;
    throw e;
  });
  return opened;
}

function open(): Promise<DB> {
  return openDB<Schema>(isSample() ? "bucktail-sample" : "bucktail", 2, {
    upgrade(d, old) {
      if (old < 2) d.createObjectStore("pieces", { keyPath: "key" });
      if (old >= 1) return;
      d.createObjectStore("photos", { keyPath: "hash" });
      d.createObjectStore("entries", { keyPath: "hash" }).createIndex("id", "id");
      d.createObjectStore("outbox", { keyPath: "key" });
      d.createObjectStore("drafts", { keyPath: "id" }).createIndex("photo", "photo");
      d.createObjectStore("settings");
    },
    blocked: () => onBlocked(),
    blocking: (_now, _next, e) => (e.target as IDBDatabase).close(),
    terminated() {
      opened = undefined;
    },
  });
}

/** Closes the disk; for tests. */
export async function closeDB(): Promise<void> {
  (await opened)?.close();
  opened = undefined;
}

export async function setting<K extends keyof Settings>(key: K): Promise<Settings[K] | undefined> {
  return (await (await db()).get("settings", key)) as Settings[K] | undefined;
}

/** Changes some of what the screens remember; the others stay as any tab left them. */
export async function mergePreferences(change: Record<string, unknown>): Promise<void> {
  const tx = (await db()).transaction("settings", "readwrite");
  const before = (await tx.store.get("preferences")) as Record<string, unknown> | undefined;
  await tx.store.put({ ...before, ...change }, "preferences");
  await tx.done;
}

export async function setSetting<K extends keyof Settings>(
  key: K,
  value: Settings[K],
): Promise<void> {
  await (await db()).put("settings", value, key);
}
