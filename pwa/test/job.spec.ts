import { expect, test, type BrowserContext, type Page } from "@playwright/test";
import { root } from "./goside";
import { Laptop } from "./laptop";
import { cameraOf } from "./taken";
import {
  button,
  FASTENERS,
  invites,
  onPhone,
  pairs,
  rows,
  setUp,
  there,
  unsent,
  named,
} from "./workshop";

// The whole job through the screens, as in a workshop: the phone is set up beside the laptop, the
// work is done out of its reach, and everything arrives once. The camera shows a rendered photo.

test.use({
  serviceWorkers: "allow",
  permissions: ["camera"],
  launchOptions: cameraOf(root + "testdata/photos/dev-08.jpg"),
});

let laptop: Laptop;
test.beforeAll(async () => {
  laptop = await Laptop.start();
});
test.afterAll(async () => laptop.end());

/** Snap, correct, save; gives how many fasteners were found. */
async function snapAndSave(page: Page): Promise<number> {
  await page.getByRole("link", { name: "Snap" }).click();
  await page.waitForURL("**/snap");
  // What the camera shows is tilted by 15°: guidance speaks before the shutter is pressed.
  await expect(page.locator(".guides")).toContainText("seen");
  await expect(page.locator(".guides")).toContainText(/1\d°/);
  await button(page, "Take the photo").click();
  await page.waitForURL("**/photo/*");
  await expect(page.getByRole("tab").nth(1)).toBeVisible({ timeout: 60_000 });
  const found = (await page.getByRole("tab").count()) - 1; // the first tab is all of them
  expect(found).toBeGreaterThan(1);
  await named(page);
  await page.getByRole("tab").nth(1).click();
  await button(page, "Correct").click();
  const reading = page.locator(".big .num");
  const before = (await reading.textContent())!;
  for (let i = 0; i < 12; i++) await button(page, "Right").click();
  await expect(reading).not.toHaveText(before, { timeout: 60_000 });
  await button(page, "Done").click();
  await expect(button(page, "Save")).not.toHaveAttribute("aria-disabled", "true", {
    timeout: 60_000,
  });
  await button(page, "Save").click();
  await page.waitForURL("**/snap?next=*"); // one of the part is not on this photo
  await expect(page.getByText(/Saved on this phone/)).toBeVisible();
  await page.locator(".tb .back").click();
  await page.waitForURL(/\/part\/[^/]+$/);
  return found;
}

test("set up beside the laptop, worked out of its reach, sent once, seen on another device", async ({
  page,
  context,
  browser,
}) => {
  test.setTimeout(240_000);
  const errors: string[] = [];
  const listen = (p: Page): unknown => p.on("pageerror", (e) => errors.push(e.message));
  listen(page);
  const part = await setUp(page, laptop);
  await onPhone(page);
  await expect(unsent(page)).toHaveText("0");
  const before = await there(page);

  await laptop.off();
  await context.setOffline(true);
  const found = await snapAndSave(page);
  await expect
    .poll(async () => (await rows(page)).filter((r) => /R\d .*± 0\.\d+/.test(r)).length)
    .toBe(found);
  const saved = await rows(page);
  expect(saved).toHaveLength(FASTENERS);
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
  await expect(again.getByRole("heading", { name: "Everything is sent" })).toBeVisible({
    timeout: 30_000,
  });
  const after = await there(again);
  expect(after).toMatchObject({
    photos: 1,
    missing: 0,
    faults: 0,
    shot: 1,
    finding: found,
    project: 1,
    part: 1,
    card: 1,
    location: FASTENERS,
  });
  expect(after["entries"]).toBeGreaterThan(before["entries"]!);
  await button(again, "Try now").click();
  await expect(again.getByRole("heading", { name: "Everything is sent" })).toBeVisible();
  expect(await there(again)).toEqual(after);

  const code = await invites(again, "builder");
  const other: BrowserContext = await browser.newContext();
  const second = await other.newPage();
  listen(second);
  await pairs(second, laptop, code, "Other phone");
  await second.goto(laptop.url + part);
  await expect.poll(() => rows(second), { timeout: 30_000 }).toEqual(saved);
  // Its picture too comes from the laptop.
  await second.locator("a.row[href^='/location/']").first().click();
  await expect
    .poll(() =>
      second.evaluate(() => {
        const c = document.querySelector<HTMLCanvasElement>("main canvas.crop"),
          d = c?.getContext("2d")?.getImageData(0, 0, c.width, c.height).data;
        return !!d && d.some((v, i) => i % 4 === 0 && Math.abs(v - d[0]!) > 30); // not one colour
      }),
    )
    .toBe(true);
  expect(await there(second)).toEqual({
    ...after,
    device: after["device"]! + 1,
    member: after["member"]! + 2, // it joined, and told its key
    entries: after["entries"]! + 3,
  });
  await other.close();
  expect(errors).toEqual([]);
});
