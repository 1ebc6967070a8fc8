// Entries of the record, before and after they are made.
import type { DataOf, EntryKind } from "./entrydata";
import type { Role } from "./vocabulary";

/** What the writer decides of a new entry. A text "@0" anywhere in it stands for the id of the first entry made in the same call, "@1" for the second. */
export type Draft = {
  [K in EntryKind]: {
    kind: K;
    project?: string;
    part?: string;
    location?: string;
    supersedes?: string[];
    why?: string;
    data: DataOf[K];
  };
}[EntryKind];

interface Head {
  format: number;
  id: string;
  device: string;
  seq: number;
  prev?: string;
  at: string;
  by: string;
  role: Role;
  project?: string;
  part?: string;
  location?: string;
  supersedes?: string[];
  why?: string;
}
/** An entry of a kind that this version knows. */
export type KnownEntry = { [K in EntryKind]: Head & { kind: K; data: DataOf[K] } }[EntryKind];
/** An entry: newer versions may write kinds that are not known here. Test `kind` before `data`. */
export type Entry = KnownEntry;

/** An entry for keeping: canonical bytes as text, and what it is found by. */
export interface EntryOut {
  id: string;
  hash: string;
  raw: string;
  device: string;
  seq: number;
  kind: string;
  part: string;
  photos: string[];
  is_new: boolean;
  unknowns: number;
}

export interface Fault {
  kind: "gap" | "fork" | "broken" | "same-id";
  device: string;
  seq: number;
  text: string;
}
