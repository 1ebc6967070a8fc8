import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { test } from "node:test";
import { Refused } from "../../src/bridge/client";
import type { Draft } from "../../src/bridge/types";
import { book, setBook } from "../../src/data/book";
import { db, setSetting, setting } from "../../src/data/db";
import { save } from "../../src/data/entries";
import { discardDraft, takeIn } from "../../src/data/photos";
import { api, OutOfReach, Refusal } from "../../src/sync/api";
import { saveToFile, takeInFile } from "../../src/sync/file";
import { adopt } from "../../src/sync/join";
import { pullAll } from "../../src/sync/pull";
import { pushAll } from "../../src/sync/push";
import { backOffMS } from "../../src/sync/sync";
import { freshPhone, startGo, wireEntries, type GoSide } from "./go";
import { Laptop } from "./laptop";

/** The smallest thing that is recognised as a JPEG; the record does not look into photos. */
const jpeg = (n: number): Blob =>
  new Blob([new Uint8Array([0xff, 0xd8, 0xff, 0xe0, n & 255, n >> 8, 0xff, 0xd9])], {
    type: "image/jpeg",
  });
const sha = async (b: Blob): Promise<string> =>
  createHash("sha256")
    .update(new Uint8Array(await b.arrayBuffer()))
    .digest("hex");

async function paired(): Promise<{ go: GoSide; laptop: Laptop }> {
  const go = await freshPhone();
  const laptop = new Laptop();
  laptop.install();
  await adopt(await api.me());
  return { go, laptop };
}

const project: Draft = { kind: "project", data: { name: "Amphibian" } };

/** A project, a part, a location; then a photo of it and what was said to it. */
async function work(go: GoSide, n: number): Promise<string> {
  const { draft } = await takeIn(go, jpeg(n));
  await save(
    [
      project,
      { kind: "part", project: "@0", data: { name: "Hatch frame" } },
      { kind: "location", project: "@0", part: "@1", data: { tag: "R" + n } },
      {
        kind: "shot",
        project: "@0",
        part: "@1",
        data: { photo: draft.photo, bytes: 8, media: "image/jpeg", locations: ["@2"] },
      },
      {
        kind: "note",
        project: "@0",
        part: "@1",
        location: "@2",
        data: { text: "as drawn", photos: [draft.photo] },
      },
    ],
    { draft: draft.id },
  );
  return draft.photo;
}

const outbox = async (): Promise<string[]> =>
  (await (await db()).getAll("outbox")).map((r) => r.key).sort();

test("photo, entries and outbox go onto the disk together", async () => {
  const { go } = await paired();
  await pushAll();
  assert.deepEqual(await outbox(), []);
  const photo = await work(go, 1);
  const d = await db();
  assert.equal(await sha((await d.get("photos", photo))!.original!), photo);
  assert.deepEqual(await d.getAll("drafts"), [], "the draft is finished");
  assert.equal((await outbox()).length, 6);
  assert.ok(
    (await outbox()).includes("photo:" + photo),
    "one row for one photo, however often it is named",
  );
});

test("nothing of a save is on the disk when an entry is refused", async () => {
  const { go } = await paired();
  const { draft } = await takeIn(go, jpeg(2));
  const before = await outbox();
  await assert.rejects(
    save([project, { kind: "part", project: "@0", data: {} }], { draft: draft.id }),
    Refused,
  );
  assert.deepEqual(await outbox(), before);
  assert.equal(
    (await (await db()).getAll("drafts")).length,
    1,
    "the photo still waits to be saved",
  );
  assert.equal((await book.call("state.projects", {})).length, 0);
});

test("before the device has joined, nothing is written", async () => {
  await freshPhone();
  await assert.rejects(
    save([project]),
    (e: unknown) => e instanceof Refused && e.refusal.code === "not-joined",
  );
});

test("what was sent is there once, wherever the line is cut", async () => {
  // One cut at each of the places where it can come, asking and answering, then a whole round.
  for (let at = 0; ; at++) {
    const { go, laptop } = await paired();
    const photos = [await work(go, 3), await work(go, 4)];
    let n = 0,
      cut = false;
    laptop.trouble = {
      cut: (when, path) => {
        if (n++ === at) {
          cut = true;
          throw new Error(`${when} ${path}`);
        }
      },
    };
    const first = await pushAll().then(
      () => undefined,
      (e: unknown) => e,
    );
    if (!cut) {
      assert.equal(first, undefined);
      assert.ok(at >= 8, `only ${at} places to cut at`);
      return;
    }
    assert.ok(first instanceof OutOfReach, String(first));
    laptop.trouble = {};
    await pushAll();
    assert.deepEqual(await outbox(), []);
    assert.deepEqual([...laptop.photos.keys()].sort(), [...photos].sort());
    const seqs = laptop.entries.map((e) => e.seq);
    assert.deepEqual(
      seqs,
      Array.from({ length: 11 }, (_, i) => i + 1),
      "each entry once and in the order of its chain",
    );
    await pullAll();
    assert.equal(await (await db()).count("entries"), 11);
  }
});

test("two phones see the same, whatever comes first", async () => {
  const { go, laptop } = await paired();
  await work(go, 5);
  await pushAll();
  const here = await book.call("state.projects", {});
  // The second phone, with a record of its own already there.
  await freshPhone();
  laptop.device = { ...laptop.device, id: "0198f3a0-0000-7000-8000-00000000000b" };
  laptop.install();
  await adopt(await api.me());
  await save([{ kind: "project", project: here[0]!.id, data: { mark: "D-1" } }]);
  await pushAll();
  await pullAll();
  await pullAll();
  assert.deepEqual(
    (await book.call("state.projects", {})).map((p) => [p.id, p.name, p.mark]),
    [[here[0]!.id, "Amphibian", "D-1"]],
  );
  assert.deepEqual(await book.call("record.faults", {}), []);
});

test("one that the laptop refuses is named, and holds up nothing", async () => {
  const { go, laptop } = await paired();
  laptop.refuse = (raw) => raw.includes('"kind":"note"');
  await work(go, 6);
  await pushAll();
  const left = await (await db()).getAll("outbox");
  assert.deepEqual(
    left.map((r) => [r.what, r.refused?.code]),
    [["entry", "no"]],
  );
  laptop.refuse = () => false;
  await pushAll();
  assert.equal((await outbox()).length, 1, "not again by itself");
  await pushAll({ again: true });
  assert.deepEqual(await outbox(), []);
});

test("a device that lost its key and comes back begins a new chain", async () => {
  const { go, laptop } = await paired();
  await work(go, 7);
  await pushAll();
  await freshPhone(); // a new origin: the disk is empty, the laptop knows the device
  laptop.install();
  const before = laptop.device.id;
  const me = await adopt(await api.me());
  assert.ok(me.ready);
  const [e] = await save([project]);
  assert.equal(e!.seq, 2); // behind the entry that tells the new key
  assert.notEqual(e!.device, before);
  await pushAll();
  assert.deepEqual(await book.call("record.faults", {}), []);
});

test("after the laptop's record was restored, what it lost is sent again", async () => {
  const { go, laptop } = await paired();
  const photo = await work(go, 8);
  await pushAll();
  await pullAll();
  laptop.entries = laptop.entries.slice(0, 2);
  laptop.photos.clear();
  laptop.record = "record-2";
  await adopt(await api.me());
  await pushAll();
  await pullAll();
  assert.equal(laptop.entries.length, 6);
  assert.ok(laptop.photos.has(photo));
  assert.deepEqual(await outbox(), []);
});

test("another tab's entries move the end of the chain, and neither forks it", async () => {
  const { go } = await paired();
  // The other tab: its own Go side over the same disk.
  setBook(await startGo());
  await (await import("../../src/data/book")).catchUp();
  const [a] = await save([project]);
  setBook(go);
  const [b] = await save([project]); // this one has not seen a yet
  assert.deepEqual([a!.seq, b!.seq], [2, 3]);
  assert.deepEqual(await book.call("record.faults", {}), []);
});

test("what waits goes through a file and back, once", async () => {
  const { go } = await paired();
  const photo = await work(go, 9);
  const waiting = await outbox();
  const { file, entries, photos } = await saveToFile(new Date("2026-11-09T10:00:00Z"));
  assert.deepEqual([entries, photos], [6, 1]);
  assert.deepEqual(await outbox(), waiting, "only the laptop's word takes a row out");

  const other = await freshPhone(); // the laptop's own browser
  const laptop = new Laptop();
  laptop.device = { ...laptop.device, id: "0198f3a0-0000-7000-8000-00000000000c", owner: true };
  laptop.install();
  await adopt(await api.me());
  await pushAll();
  assert.deepEqual(await takeInFile(other, file), {
    entries: 6,
    photos: 1,
    already: 0,
    damaged: 0,
  });
  assert.deepEqual(await takeInFile(other, file), {
    entries: 0,
    photos: 0,
    already: 7,
    damaged: 0,
  });
  await pushAll();
  assert.equal(laptop.entries.length, 7);
  assert.deepEqual([...laptop.photos.keys()], [photo]);
  assert.deepEqual(await outbox(), []);
});

test("a file with a damaged photo gives the rest; a strange file is refused", async () => {
  const { go } = await paired();
  await work(go, 10);
  const { file } = await saveToFile();
  const b = new Uint8Array(await file.arrayBuffer());
  b[b.length - 3]! ^= 1;
  const told = await takeInFile(go, new Blob([b]));
  assert.equal(told.damaged, 1);
  for (const strange of [
    "",
    "hello\n",
    "{}\n",
    '{"bucktail_waiting":2,"entries":[],"photos":[]}\n',
    "x".repeat(100),
  ]) {
    await assert.rejects(takeInFile(go, new Blob([strange])), Refused, JSON.stringify(strange));
  }
});

test("another device's file is for the laptop", async () => {
  const { go } = await paired();
  const entries = [...(await wireEntries()).values()].slice(0, 3);
  const file = new Blob([
    `{"bucktail_waiting":1,"made":"","device":"","photos":[],"entries":[${entries.join(",")}]}\n`,
  ]);
  await assert.rejects(
    takeInFile(go, file),
    (e: unknown) => e instanceof Refused && e.refusal.code === "not-here",
  );
});

test("a photo that is already named is kept when its draft is thrown away", async () => {
  const { go } = await paired();
  const photo = await work(go, 11);
  const again = await takeIn(go, jpeg(11));
  await discardDraft(again.draft.id);
  assert.ok(await (await db()).get("photos", photo));
  const other = await takeIn(go, jpeg(12));
  await discardDraft(other.draft.id);
  assert.equal(await (await db()).get("photos", other.draft.photo), undefined);
});

test("an unpaired device is told apart from a laptop out of reach and from a stranger's page", async () => {
  const { laptop } = await paired();
  laptop.paired = false;
  await assert.rejects(api.me(), (e: unknown) => e instanceof Refusal && e.problem.status === 401);
  globalThis.fetch = async () =>
    new Response("<html>Log in to the hotel", {
      status: 200,
      headers: { "Content-Type": "text/html" },
    });
  await assert.rejects(api.me(), OutOfReach);
  globalThis.fetch = async () => new Response("no", { status: 502 });
  await assert.rejects(api.me(), OutOfReach);
});

test("waits double from two seconds to five minutes", () => {
  assert.deepEqual(
    [1, 2, 3, 8, 9, 50].map((n) => backOffMS(n, 0.5)),
    [2000, 4000, 8000, 256_000, 300_000, 300_000],
  );
  assert.ok(backOffMS(1, 0) < 2000 && backOffMS(1, 0.999) > 2000);
});

test("the identity's role and name follow the laptop's", async () => {
  const { laptop } = await paired();
  laptop.device = { ...laptop.device, role: "inspector" };
  await adopt(await api.me());
  assert.equal((await setting("identity"))?.role, "inspector");
  await setSetting("by", "Ines K.");
  await assert.rejects(save([project]), Refused, "an inspector makes no project");
});
