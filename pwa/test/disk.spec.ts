import { expect, test, type BrowserContext, type Page } from "@playwright/test";
import { readFileSync } from "node:fs";
import { createHash } from "node:crypto";
import type { Harness } from "./harness";
import { root } from "./goside";
import { Laptop } from "./laptop";

// What lies under the screens, in a real browser with its real disk and the real server.

declare const app: Harness; // in the page

let laptop: Laptop;
test.beforeEach(async () => {
  laptop = await Laptop.start();
});
test.afterEach(async () => laptop.end());

const jpeg = readFileSync(root + "testdata/photos/dev-08.jpg");
const hash = createHash("sha256").update(jpeg).digest("hex");

/** A page of the app's origin with the harness in place of the screens. */
async function open(context: BrowserContext): Promise<Page> {
  await context.route(laptop.url + "/harness", (r) =>
    r.fulfill({
      contentType: "text/html",
      body: '<!doctype html><title>harness</title><script src="/harness.js"></script>',
    }),
  );
  await context.route(laptop.url + "/harness.js", (r) =>
    r.fulfill({
      contentType: "text/javascript",
      body: readFileSync(root + "build/unit/harness.js"),
    }),
  );
  await context.route(laptop.url + "/photo.jpg", (r) =>
    r.fulfill({ contentType: "image/jpeg", body: jpeg }),
  );
  const page = await context.newPage();
  await page.goto(laptop.url + "/harness");
  return page;
}

const join = (page: Page): Promise<unknown> =>
  page.evaluate((code) => app.pair(code, "Test phone"), laptop.link.split("#")[1]!);

/** Has the measuring worker started: without a service worker here, its script comes from the laptop. */
const warm = (page: Page): Promise<unknown> => page.evaluate(() => app.eye.call("guide.reset", {}));

/** Takes a photo and gives its draft. */
const shutter = (page: Page): Promise<string> =>
  page.evaluate(async () => (await app.snap(app.eye, await (await fetch("/photo.jpg")).blob())).id);

/** Saves the draft as a shot of a new part. */
const saveShot = (page: Page, draft: string): Promise<unknown> =>
  page.evaluate(async (id) => {
    const d = (await app.drafts()).find((x) => x.id === id)!;
    const p = (await (await app.db()).get("photos", d.photo))!;
    return app.save(
      [
        { kind: "project", data: { name: "Amphibian" } },
        { kind: "part", project: "@0", data: { name: "Hatch frame" } },
        {
          kind: "shot",
          project: "@0",
          part: "@1",
          data: { photo: p.hash, bytes: p.bytes, media: p.media },
        },
      ],
      { draft: id },
    );
  }, draft);

/** What the laptop enters itself: its own key, who joined, with which key. */
const vouched = 3;

interface There {
  entries: number;
  photos: number;
  missing: number;
  faults: number;
}
const there = (page: Page): Promise<There> =>
  page.evaluate(async () => {
    const h = (await (await fetch("/api/health", { cache: "no-store" })).json()) as {
      entries: number;
      photos: number;
      missing_photos?: number;
      faults?: unknown[];
    };
    return {
      entries: h.entries,
      photos: h.photos,
      missing: h.missing_photos ?? 0,
      faults: h.faults?.length ?? 0,
    };
  });

const unsent = (page: Page): Promise<number> =>
  page.evaluate(async () => {
    await app.countUnsent();
    return app.unsent().entries + app.unsent().photos;
  });

/** Ends a tab as the system does: no unload, no goodbye. */
async function kill(page: Page): Promise<void> {
  const cdp = await page.context().newCDPSession(page);
  const gone = page.waitForEvent("crash");
  void cdp.send("Page.crash").catch(() => undefined);
  await gone;
  await page.close();
}

test("a tab killed between shutter and save loses nothing", async ({ context }) => {
  let page = await open(context);
  await join(page);
  await warm(page);
  await laptop.off();
  const draft = await shutter(page);
  await kill(page);
  await laptop.on();
  page = await open(context);
  const found = await page.evaluate(async () => {
    const d = await app.drafts();
    const p = await (await app.db()).get("photos", d[0]!.photo);
    return { drafts: d.map((x) => x.id), bytes: p?.original?.size, hash: p?.hash };
  });
  expect(found).toEqual({ drafts: [draft], bytes: jpeg.length, hash });
  // The work goes on: measured from the disk, saved, sent.
  const locations = await page.evaluate(async () => {
    const [d] = await app.drafts();
    return (
      await app.measureDraft(app.eye, d!, {
        spec: { kind: "shop-head", nominal_mm: 4.7625 },
        size: "6",
      })
    ).document.locations.length;
  });
  expect(locations).toBeGreaterThan(0);
  await saveShot(page, draft);
  await page.evaluate(() => app.sync({ byHand: true }));
  expect(await page.evaluate(() => app.state())).toEqual({ is: "idle" });
  expect(await there(page)).toEqual({ entries: 4 + vouched, photos: 1, missing: 0, faults: 0 });
});

for (const [what, path] of [
  ["its entries", "**/api/entries"],
  ["its photo", "**/api/photos/" + hash],
] as const) {
  test(`a tab killed while it sends ${what}, before the answer came, doubles nothing`, async ({
    context,
  }) => {
    let page = await open(context);
    await join(page);
    await page.evaluate(() => app.sync({ byHand: true }));
    await saveShot(page, await shutter(page));
    expect(await unsent(page)).toBe(4);
    // The laptop takes it and the answer never arrives.
    let taken: () => void = () => undefined;
    const reached = new Promise<void>((resolve) => {
      taken = resolve;
    });
    await context.route(
      path,
      async (r) => {
        if (r.request().method() === "GET") return r.fallback();
        await r.fetch();
        taken();
      },
      { times: 1 },
    );
    void page.evaluate(() => app.sync({ byHand: true })).catch(() => undefined);
    await reached;
    await kill(page);
    page = await open(context);
    expect(await unsent(page)).toBeGreaterThan(0);
    await page.evaluate(() => app.sync({ byHand: true }));
    expect(await unsent(page)).toBe(0);
    expect(await there(page)).toEqual({ entries: 4 + vouched, photos: 1, missing: 0, faults: 0 });
    // As taken, byte for byte but for what may not leave the house.
    const sent = await page.evaluate(
      async (h) => (await app.db()).get("photos", h).then((p) => p?.sent),
      hash,
    );
    expect(sent).toBe(true);
  });
}

test("a laptop that is switched off and on is waited for", async ({ context }) => {
  const page = await open(context);
  await join(page);
  await page.evaluate(() => app.sync({ byHand: true }));
  await warm(page);
  await laptop.off();
  await saveShot(page, await shutter(page));
  await page.evaluate(() => app.sync({ byHand: true }));
  expect(await page.evaluate(() => app.state())).toEqual({ is: "out-of-reach" });
  expect(await unsent(page)).toBe(4);
  await laptop.on();
  await expect.poll(() => unsent(page), { timeout: 20_000 }).toBe(0); // by itself
  expect(await there(page)).toEqual({ entries: 4 + vouched, photos: 1, missing: 0, faults: 0 });
});

test("a worker that dies of a job is said so and started again", async ({ context }) => {
  const page = await open(context);
  await join(page);
  const told = await page.evaluate(async () => {
    // A picture that no memory holds can't be had from outside, so the worker is ended as the system
    // would: in the middle of a job.
    const photo = await (await fetch("/photo.jpg")).arrayBuffer();
    const stop = new AbortController();
    const first = app.eye
      .call(
        "measure",
        { spec: { kind: "shop-head", nominal_mm: 4.7625 } },
        { bytes: photo, signal: stop.signal, progress: () => stop.abort(new Error("stopped")) },
      )
      .then(
        () => "measured",
        (e: Error) => e.message,
      );
    const second = app.eye.call("take", {}, { bytes: photo }).then((t) => t.sha256);
    return [await first, await second, (await app.book.call("state.projects", {})).length];
  });
  expect(told).toEqual(["stopped", hash, 0]);
});
