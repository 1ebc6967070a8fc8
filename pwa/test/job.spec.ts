import { expect, test, type BrowserContext, type Page } from "@playwright/test";
import { copyFileSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { root } from "./goside";
import { Laptop } from "./laptop";

// The whole job through the screens, as in a workshop: the phone is set up beside the laptop, the
// work is done out of its reach, and everything arrives once. The camera shows a rendered photo:
// a stream of one JPEG picture is that picture.

const dir = mkdtempSync(join(tmpdir(), "bucktail-camera-"));
const camera = join(dir, "camera.mjpeg");
copyFileSync(root + "testdata/photos/dev-08.jpg", camera);
const about = JSON.parse(readFileSync(root + "testdata/photos/dev-08.json", "utf8")) as { fasteners: unknown[] };
test.afterAll(() => rmSync(dir, { recursive: true, force: true }));

test.use({
  actionTimeout: 15_000,
  permissions: ["camera"],
  launchOptions: async ({ launchOptions }, use) => {
    await use({ ...launchOptions, args: [...(launchOptions.args ?? []), "--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream", `--use-file-for-fake-video-capture=${camera}`] });
  },
});

let laptop: Laptop;
test.beforeAll(async () => { laptop = await Laptop.start(); });
test.afterAll(async () => laptop.end());

const button = (page: Page, name: string | RegExp) => page.getByRole("button", { name, exact: typeof name === "string" });

async function pairs(page: Page, code: string, name: string): Promise<void> {
  await page.goto(laptop.url + "/pair");
  await page.getByLabel("Code").fill(code);
  await page.getByLabel("Name of this phone").fill(name);
  await button(page, "Pair").click();
  await page.waitForURL("**/start");
}

/** What the laptop holds, by kind. */
const there = (page: Page): Promise<Record<string, number>> => page.evaluate(async () => {
  const h = await (await fetch("/api/health", { cache: "no-store" })).json() as { entries: number; photos: number; missing_photos?: number; faults?: unknown[] };
  const kinds: Record<string, number> = {};
  for (let after = "", more = true; more;) {
    const p = await (await fetch(`/api/entries?after=${encodeURIComponent(after)}`, { cache: "no-store" })).json() as { entries: { kind: string }[]; cursor: string; more: boolean };
    for (const e of p.entries) kinds[e.kind] = (kinds[e.kind] ?? 0) + 1;
    ({ cursor: after, more } = p);
  }
  return { ...kinds, entries: h.entries, photos: h.photos, missing: h.missing_photos ?? 0, faults: h.faults?.length ?? 0 };
});

/** The rows of the part's list: tag, verdict, reading. */
const rows = async (page: Page): Promise<string[]> => (await page.locator("a.row[href^='/location/']").allInnerTexts()).map((t) => t.replace(/\s+/g, " "));

/** Waits until the app is on the phone. */
const onPhone = (page: Page): Promise<unknown> => page.evaluate(async () => {
  await navigator.serviceWorker.ready;
  while (!navigator.serviceWorker.controller) await new Promise((r) => setTimeout(r, 50));
});

async function setUp(page: Page): Promise<string> {
  await pairs(page, laptop.link.split("#")[1]!, "Bench phone");
  await page.getByRole("link", { name: "Name the project" }).first().click();
  await page.getByLabel("Name", { exact: true }).fill("Tarn 2");
  await page.getByLabel("Aircraft", { exact: true }).fill("two-seat amphibian");
  await button(page, "Make the project").click();
  await page.waitForURL("**/start");

  await page.goto(laptop.url + "/cards/new");
  await page.getByLabel("Line across").fill("149.55");
  await page.getByLabel("Line along").fill("149.62");
  await page.getByLabel("Thickness, with backing").fill("0.255");
  await button(page, "Save").click();
  await page.waitForURL("**/cards");
  await expect(page.getByText("in use", { exact: true })).toBeVisible();

  await page.goto(laptop.url + "/part/new");
  await page.getByLabel("Name", { exact: true }).fill("Corner gusset, left");
  await page.getByLabel("Drawing reference").fill("HF-12 sheet 2");
  await page.getByLabel("Size").fill("-6");
  await expect(page.getByText(/^D 4\.76/)).toBeVisible();
  await button(page, "Make the part").click();
  await page.waitForURL("**/part/*/layout");
  const part = /\/part\/([^/]+)/.exec(page.url())![1]!;

  await page.getByRole("radio", { name: "row" }).check();
  await page.getByLabel("How many").first().fill(String(about.fasteners.length));
  const picture = page.locator(".layout svg").first();
  const box = (await picture.boundingBox())!;
  for (const x of [0.2, 0.8]) await picture.click({ position: { x: box.width * x, y: box.height / 2 } });
  await button(page, `Add ${about.fasteners.length} locations`).click();
  await page.waitForURL(`**/part/${part}`);
  await expect(page.locator("a.row[href^='/location/']")).toHaveCount(about.fasteners.length);
  return `/part/${part}`;
}

/** Snap, correct, save; gives how many fasteners were found. */
async function snapAndSave(page: Page): Promise<number> {
  await page.getByRole("link", { name: "Snap" }).click();
  await page.waitForURL("**/snap");
  // What the camera shows is tilted by 15°: guidance speaks before the shutter is pressed.
  await expect(page.locator(".guides")).toContainText("seen");
  await expect(page.locator(".guides")).toContainText(/1\d°/);
  await button(page, "Take the photo").click();
  await page.waitForURL("**/photo/*");
  await expect(page.getByRole("tab").first()).toBeVisible({ timeout: 60_000 });
  const found = await page.getByRole("tab").count() - 1; // the first tab is all of them
  expect(found).toBeGreaterThan(1);
  await page.getByRole("tab").nth(1).click();
  await button(page, "Correct").click();
  const reading = page.locator(".big .num");
  const before = (await reading.textContent())!;
  for (let i = 0; i < 12; i++) await button(page, "Right").click();
  await expect(reading).not.toHaveText(before, { timeout: 60_000 });
  await button(page, "Done").click();
  await expect(button(page, "Save")).not.toHaveAttribute("aria-disabled", "true", { timeout: 60_000 });
  await button(page, "Save").click();
  await page.waitForURL(/\/part\/[^/]+$/);
  await expect(page.getByText(/Saved on this phone/)).toBeVisible();
  return found;
}

const unsent = (page: Page) => page.locator(".tb a.cell b");

test("set up beside the laptop, worked out of its reach, sent once, seen on another device", async ({ page, context, browser }) => {
  test.setTimeout(240_000);
  const errors: string[] = [];
  const listen = (p: Page): unknown => p.on("pageerror", (e) => errors.push(e.message));
  listen(page);
  const part = await setUp(page);
  await onPhone(page);
  await expect(unsent(page)).toHaveText("0");
  const before = await there(page);

  await laptop.off();
  await context.setOffline(true);
  const found = await snapAndSave(page);
  const saved = await rows(page);
  expect(saved).toHaveLength(about.fasteners.length);
  expect(saved.filter((r) => /R\d .*± 0\.\d+/.test(r))).toHaveLength(found);
  await page.close();

  const again = await context.newPage();
  listen(again);
  await again.goto(laptop.url);
  await again.waitForURL("**" + part);
  await expect.poll(() => rows(again)).toEqual(saved);
  await expect(unsent(again)).not.toHaveText("0");
  await again.goto(laptop.url + "/unsent");
  await expect(again.getByRole("heading", { name: "Laptop not in reach" })).toBeVisible();

  await laptop.on();
  await context.setOffline(false);
  await expect(again.getByRole("heading", { name: "All is sent" })).toBeVisible({ timeout: 30_000 });
  const after = await there(again);
  expect(after).toMatchObject({ photos: 1, missing: 0, faults: 0, shot: 1, finding: found, project: 1, part: 1, card: 1, location: about.fasteners.length });
  expect(after["entries"]).toBeGreaterThan(before["entries"]!);
  await button(again, "Try now").click();
  await expect(again.getByRole("heading", { name: "All is sent" })).toBeVisible();
  expect(await there(again)).toEqual(after);

  const code = await again.evaluate(async () => {
    const r = await fetch("/api/pairings", { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify({ role: "builder" }) });
    return ((await r.json()) as { code: string }).code;
  });
  const other: BrowserContext = await browser.newContext();
  const second = await other.newPage();
  listen(second);
  await pairs(second, code, "Other phone");
  await second.goto(laptop.url + part);
  await expect.poll(() => rows(second), { timeout: 30_000 }).toEqual(saved);
  // Its picture too comes from the laptop.
  await second.locator("a.row[href^='/location/']").first().click();
  await expect.poll(() => second.evaluate(() => [...document.querySelectorAll("main img, main image, main canvas")].length)).toBeGreaterThan(0);
  expect(await there(second)).toEqual({ ...after, device: after["device"]! + 1, entries: after["entries"]! + 1 });
  await other.close();
  expect(errors).toEqual([]);
});
