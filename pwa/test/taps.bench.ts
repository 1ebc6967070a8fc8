import { expect, test, type Locator, type Page } from "@playwright/test";
import { spawnSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { root } from "./goside";
import { Laptop } from "./laptop";
import { button } from "./workshop";

// Taps, typed fields and seconds of what is done most often, `make app-bench`. The seconds are the
// program's own on this machine: nobody looks, thinks, drills or walks. The camera shows rendered
// photos of one row of ten rivets, and each is named as it stands there.

/** The photos, and which rivets of the row they show from top to bottom. */
const row = {
  "row-1": [7, 6, 5, 4, 3, 2, 1],
  "row-3": [3, 4, 5, 6, 7, 8, 9, 10],
  "row-2-again": [1, 2, 3, 4, 5, 6],
};
type Shot = keyof typeof row | "row-2-hole";
const file = (shot: Shot): string => `${root}testdata/row/${shot}.jpg`;
const card = { across: "150.3", along: "149.85", thickness: "0.25" }; // as they were rendered

declare global {
  /** The picture that lies before the camera, base64. */
  function before(): Promise<string>;
  function look(): Promise<void>;
}

let laptop: Laptop;
test.use({ actionTimeout: 60_000, navigationTimeout: 60_000 });
test.beforeAll(async () => {
  laptop = await Laptop.start();
});
test.afterAll(async () => laptop.end());

let shown: Shot = "row-1";

/** A camera that shows what lies before it. */
async function camera(page: Page): Promise<void> {
  await page.exposeFunction("before", () => readFileSync(file(shown)).toString("base64"));
  await page.addInitScript(() => {
    const canvas = document.createElement("canvas");
    globalThis.look = async () => {
      const jpeg = Uint8Array.from(atob(await globalThis.before()), (c) => c.charCodeAt(0)),
        picture = await createImageBitmap(new Blob([jpeg]));
      [canvas.width, canvas.height] = [picture.width, picture.height];
      canvas.getContext("2d")!.drawImage(picture, 0, 0);
    };
    navigator.mediaDevices.getUserMedia = async () => {
      await globalThis.look();
      setInterval(() => {
        const c = canvas.getContext("2d")!;
        c.drawImage(canvas, 0, 0); // a picture a tenth of a second, whether it changed or not
      }, 100);
      return canvas.captureStream(10);
    };
  });
}

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

  /** The shutter over a photo, until its verdicts show. */
  async shutter(shot: Shot): Promise<void> {
    shown = shot;
    await this.page.evaluate(() => globalThis.look());
    await expect(this.page.locator(".guides")).toContainText(/seen.*[1-9]°/s, { timeout: 60_000 });
    await this.press("Take the photo");
    await this.page.waitForURL("**/photo/*");
    await expect(this.page.getByRole("tab").nth(1)).toBeVisible({ timeout: 90_000 });
    await expect(this.page.locator(".doing p")).toHaveCount(0, { timeout: 90_000 });
    await expect(this.page.locator(".which").or(this.saving())).toHaveCount(1, { timeout: 60_000 });
  }
  private saving(): Locator {
    return this.page.locator("nav button:not([aria-disabled='true'])").filter({ hasText: "Save" });
  }

  /** Says which rivets these are, as long as that is asked. */
  async answers(tags: number[]): Promise<void> {
    const which = this.page.locator(".which");
    while ((await which.count()) > 0) {
      const was = await which.getByRole("heading").innerText(),
        together = which.getByRole("group", { name: "All at once" }).getByRole("button"),
        sought = /^Which of these is R(\d+)/.exec(was)?.[1], // by its letter, else its letter is asked about
        asked = sought
          ? `${String.fromCharCode(65 + tags.indexOf(Number(sought)))}\\?`
          : `R${tags[was.charCodeAt(was.length - 2) - 65]}`;
      const says = (await together.allInnerTexts()).findIndex((text) => {
        const all = [...text.matchAll(/(\w) is R(\d+)/g)];
        return all.length > 0 && all.every(([, a, n]) => tags[a!.charCodeAt(0) - 65] === Number(n));
      });
      if (says >= 0) await this.tap(together.nth(says));
      else
        await this.tap(
          which.getByRole("button", { name: new RegExp(`(^|, )${asked}(,|$)`) }).first(),
        );
      await expect(which.getByRole("heading", { name: was })).toHaveCount(0);
      await expect(which.or(this.saving())).toHaveCount(1, { timeout: 60_000 });
      await expect(this.page.getByText("does not fit")).toHaveCount(0);
    }
  }
  async save(): Promise<void> {
    await expect(this.saving()).toBeVisible({ timeout: 60_000 });
    await this.press("Save");
  }
  told(what: string): void {
    const seconds = ((performance.now() - this.began) / 1000).toFixed(1);
    console.log(`${what}: ${this.taps} taps, ${this.typed} fields, ${seconds} s`);
  }
}

/** What the program finds on a photo, in the order in which it lists it. */
const found = (shot: Shot) =>
  (
    JSON.parse(
      spawnSync(
        root + "build/bucktail",
        [..."measure --json --what shop-head --rivet 4".split(" "), file(shot)],
        { encoding: "utf8" },
      ).stdout,
    ) as { locations: { centre_px: [number, number]; ask?: object }[] }
  ).locations;

/** Which rivet of the row each of them is. */
function standing(shot: keyof typeof row): number[] {
  const tags: number[] = [];
  found(shot)
    .map((l, i) => [l.centre_px[1], i] as const)
    .sort((a, b) => a[0] - b[0])
    .forEach(([, i], n) => (tags[i] = row[shot][n]!));
  return tags;
}

/** What a first photo names them: one after the other, without those that were not read. */
function namedFirst(shot: Shot): number[] {
  let n = 0;
  return found(shot).map((l) => (l.ask ? 0 : ++n));
}

test("taps and seconds", async ({ page }) => {
  test.setTimeout(900_000);
  await camera(page);

  let hand = new Hand(page);
  await page.goto(laptop.url + "/pair");
  hand.taps++; // on the picture code, in the phone's own camera, which brings the code along
  await page.getByLabel("Code").fill(laptop.link.split("#")[1]!);
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
  await hand.type("Line across", card.across);
  await hand.type("Line along", card.along);
  await hand.type("Thickness, with backing", card.thickness);
  await hand.press("Save");
  await page.waitForURL("**/cards");
  await hand.tap(page.locator("nav.strip .go").filter({ hasText: "Add a part" }));
  await hand.type("Name", "Skin");
  await hand.type("Size", "-4");
  await expect(page.getByText(/^D 3\.1/)).toBeVisible();
  await hand.press("Add the part");
  await page.waitForURL("**/part/*/layout");
  const part = /\/part\/[^/]+/.exec(page.url())![0];
  await hand.tap(page.locator("nav.strip .go"));
  await hand.shutter("row-1");
  hand.told("first start to the first verdict, card printed and measured");
  await hand.save();
  await page.waitForURL((u) => !u.pathname.includes("/photo/"));

  // The next day, at the same part.
  await page.goto("about:blank");
  hand = new Hand(page);
  await page.goto(laptop.url);
  hand.taps++;
  await page.waitForURL("**" + part);
  await hand.follow("Snap");
  await hand.shutter("row-1");
  hand.told("icon to the verdicts on the same part");
  await hand.answers(namedFirst("row-1"));
  await hand.save();
  hand.told("and saved");
  await page.waitForURL((u) => !u.pathname.includes("/photo/"));

  // A row of ten, which the part's layout has.
  await page.goto(laptop.url + "/part/new");
  await page.getByLabel("Name", { exact: true }).fill("Stiffener");
  await page.getByLabel("Size").fill("-4");
  await expect(page.getByText(/^D 3\.1/)).toBeVisible();
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
  const ten = new URL(page.url()).pathname;
  hand = new Hand(page);
  await hand.follow("Snap");
  for (const shot of ["row-1", "row-3"] as const) {
    await hand.shutter(shot);
    await hand.answers(standing(shot));
    await hand.save();
    await page.waitForURL((u) => !u.pathname.includes("/photo/"));
  }
  hand.told("ten rivets in a row, two photos");

  // One of them is drilled out, its hole and the new rivet are measured.
  await page.goto(laptop.url + ten);
  hand = new Hand(page);
  await hand.follow(/^R2/);
  await page.waitForURL("**/location/*");
  await hand.follow("Drill out");
  await page.waitForURL("**/rework");
  await hand.press("It is out");
  await hand.press("Drilled out: snap the hole");
  await page.waitForURL("**/snap?at=*");
  await hand.shutter("row-2-hole");
  await hand.save();
  await page.waitForURL(/\/location\/[^/]+(\/attempt)?$/);
  // Where a photo can't tell whether the hole keeps its narrow band, the builder says that it goes on.
  if (!page.url().endsWith("/attempt")) await hand.follow("A new rivet is set");
  await page.waitForURL("**/attempt");
  await hand.press("Save");
  await page.waitForURL(/\/snap\?at=/);
  await hand.shutter("row-2-again");
  await hand.answers(standing("row-2-again"));
  await hand.save();
  await page.waitForURL((u) => !u.pathname.includes("/photo/"));
  hand.told("drill out to new rivet measured");
});
