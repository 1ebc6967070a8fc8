// The app without its screens, for browser tests of what lies under them: disk, record and sync.
import { measureDraft, snap } from "../src/capture/snap";
import { book } from "../src/data/book";
import { db, setting } from "../src/data/db";
import { save } from "../src/data/entries";
import { drafts } from "../src/data/photos";
import { room } from "../src/data/storage";
import { eye } from "../src/eye";
import { pair } from "../src/sync/join";
import { countUnsent, sync, syncState, unsent } from "../src/sync/sync";

const app = {
  book,
  db,
  drafts,
  eye,
  measureDraft,
  pair,
  room,
  save,
  setting,
  snap,
  sync,
  countUnsent,
  state: () => syncState.value,
  unsent: () => unsent.value,
};
export type Harness = typeof app;
(globalThis as unknown as { app: Harness }).app = app;
