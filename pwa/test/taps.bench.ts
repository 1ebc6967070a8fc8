import { expect, test, type Locator, type Page } from "@playwright/test";
import { copyFileSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { root } from "./goside";
import { Laptop } from "./laptop";
import { button } from "./workshop";

// Taps, typed fields and seconds of what is done most often, `make app-bench`. The seconds are the
// program's own on this machine: nobody looks, thinks or walks. The camera shows a rendered photo of
// three heads and a hole.

const dir = mkdtempSync(join(tmpdir(), "bucktail-camera-"));
const camera = join(dir, "camera.mjpeg");
copyFileSync(root + "testdata/photos/dev-08.jpg", camera);
test.use({
  actionTimeout: 60_000,
  navigationTimeout: 60_000,
  permissions: ["camera"],
  launchOptions: async ({ launchOptions }, use) => {
    await use({
      ...launchOptions,
      args: [
        ...(launchOptions.args ?? []),
        "--use-fake-device-for-media-stream",
        "--use-fake-ui-for-media-stream",
        `--use-file-for-fake-video-capture=${camera}`,
      ],
    });
  },
});
let laptop: Laptop;
test.beforeAll(async () => {
  laptop = await Laptop.start();
});
test.afterAll(async () => {
  await laptop.end();
  rmSync(dir, { recursive: true, force: true });
});

/** Counts what a hand does. */
class Hand {
  taps = 0;
  typed = 0;
  private began = performance.now();
  constructor(readonly page: Page) {}
  async tap(what: Locator): Promise<void> {
    await what.click();
    this.taps++;
  }
  press(name: string | RegExp): Promise<void> {
    return this.tap(button(this.page, name));
  }
  follow(name: string | RegExp): Promise<void> {
    return this.tap(this.page.getByRole("link", { name }).first());
  }
  async type(label: string, text: string): Promise<void> {
    await this.page
      .getByLabel(label, { exact: label === "Name" })
      .first()
      .fill(text);
    this.typed++;
  }
  /** The shutter, until the verdict shows. */
  async shutter(): Promise<void> {
    await expect(this.page.locator(".guides")).toContainText("seen", { timeout: 60_000 });
    await this.press("Take the photo");
    await this.page.waitForURL("**/photo/*");
    await expect(this.page.getByRole("tab").nth(1)).toBeVisible({ timeout: 90_000 });
    await expect(this.page.locator(".doing p")).toHaveCount(0, { timeout: 90_000 });
  }
  /** Says which rivets these are where that is asked: R4 to R6 as they lie. */
  async answers(): Promise<void> {
    const which = this.page.locator(".which"),
      free = this.page
        .locator("nav button:not([aria-disabled='true'])")
        .filter({ hasText: "Save" });
    await expect(which.or(free)).toHaveCount(1, { timeout: 60_000 });
    while ((await which.count()) > 0) {
      const was = await which.getByRole("heading").innerText(),
        all = which.getByRole("group", { name: "All at once" }).getByRole("button").first();
      if ((await all.count()) > 0) await this.tap(all);
      else await this.tap(which.locator(".tagcells").getByRole("button").first());
      await expect(which.getByRole("heading", { name: was })).toHaveCount(0);
    }
  }
  async save(): Promise<void> {
    await expect(button(this.page, "Save")).not.toHaveAttribute("aria-disabled", "true", {
      timeout: 60_000,
    });
    await this.press("Save");
  }
  told(what: string): void {
    const seconds = ((performance.now() - this.began) / 1000).toFixed(1);
    console.log(`${what}: ${this.taps} taps, ${this.typed} fields, ${seconds} s`);
  }
}

test("taps and seconds", async ({ page }) => {
  test.setTimeout(600_000);
  page.on("dialog", (d) => void d.accept()); // the photo is older than its project

  let hand = new Hand(page);
  await page.goto(laptop.url + "/pair");
  hand.taps++; // on the picture code, in the phone's own camera, which brings the code along
  await page.getByLabel("Code").fill(laptop.link.split("#")[1]!);
  await hand.type("Name of this phone", "Bench phone");
  await hand.type("Your name", "Ines Sorel");
  await hand.press("Pair");
  await page.waitForURL("**/start");
  await hand.follow("Name the project");
  await hand.type("Name", "Tarn 2");
  await hand.press("Create the project");
  await page.waitForURL("**/start");
  await hand.tap(page.locator("nav.strip .go"));
  await page.waitForURL("**/cards");
  await hand.tap(page.locator("nav.strip .go"));
  await hand.type("Line across", "149.55");
  await hand.type("Line along", "149.62");
  await hand.type("Thickness, with backing", "0.255");
  await hand.press("Save");
  await page.waitForURL("**/cards");
  await hand.tap(page.locator("nav.strip .go").filter({ hasText: "Add a part" }));
  await hand.type("Name", "Angle");
  await hand.type("Size", "-6");
  await expect(page.getByText(/^D 4\.76/)).toBeVisible();
  await hand.press("Add the part");
  await page.waitForURL("**/part/*/layout");
  const part = /\/part\/[^/]+/.exec(page.url())![0];
  await hand.tap(page.locator("nav.strip .go"));
  await hand.shutter();
  hand.told("first start to the first verdict, card printed and measured");
  await hand.save();

  // The next day, at the same part.
  await page.goto("about:blank");
  hand = new Hand(page);
  await page.goto(laptop.url);
  hand.taps++;
  await page.waitForURL("**" + part);
  await hand.follow("Snap");
  await hand.shutter();
  hand.told("icon to verdict on the same part");

  // A row of ten by three, three, three and one.
  await page.goto(laptop.url + "/part/new");
  await page.getByLabel("Name", { exact: true }).fill("Stiffener");
  await page.getByLabel("Size").fill("-6");
  await expect(page.getByText(/^D 4\.76/)).toBeVisible();
  await button(page, "Add the part").click();
  await page.waitForURL("**/part/*/layout");
  await page.getByRole("radio", { name: "row" }).check();
  await page.getByLabel("How many").first().fill("10");
  const picture = page.locator(".layout svg").first(),
    box = (await picture.boundingBox())!;
  for (const x of [0.1, 0.9])
    await picture.click({ position: { x: box.width * x, y: box.height / 2 } });
  await button(page, "Add 10 locations").click();
  await page.waitForURL(/\/part\/[^/]+$/);
  const row = new URL(page.url()).pathname;
  hand = new Hand(page);
  await hand.follow("Snap");
  for (let photos = 1; ; photos++) {
    await hand.shutter();
    await hand.answers();
    await hand.save();
    await page.waitForURL((u) => !u.pathname.includes("/photo/"));
    if (!/\/snap/.test(page.url())) {
      hand.told(`ten rivets in a row, ${photos} photos`);
      break;
    }
    expect(photos, "photos of ten rivets").toBeLessThan(10);
  }

  // One of them is drilled out, its hole and the new rivet are measured.
  await page.goto(laptop.url + row);
  hand = new Hand(page);
  await hand.follow(/^R2/);
  await page.waitForURL("**/location/*");
  await hand.follow("Drill out");
  await page.waitForURL("**/rework");
  const out = button(page, "Drilled out: snap the hole"),
    step = button(page, "Done, next");
  await expect(out.or(step).first()).toBeVisible();
  while ((await out.count()) === 0) await hand.tap(step);
  await hand.tap(out);
  await page.waitForURL("**/snap?at=*");
  await hand.shutter();
  await hand.answers();
  await hand.save();
  await page.waitForURL(/\/location\/[^/]+(\/attempt)?$/);
  const set = page.locator("nav.strip .go");
  await hand.tap(set);
  await page.waitForURL(/\/snap\?at=/);
  await hand.shutter();
  await hand.answers();
  await hand.save();
  await page.waitForURL((u) => !u.pathname.includes("/photo/"));
  hand.told("drill out to new rivet measured");
});
