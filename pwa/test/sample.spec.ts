import { expect, test } from "@playwright/test";
import { Laptop } from "./laptop";

// Without a laptop's record: the sample has a part that has been worked on, with photos, readings
// and what came of them.

let laptop: Laptop;
test.use({ serviceWorkers: "block" });
test.beforeAll(async () => {
  laptop = await Laptop.start();
});
test.afterAll(async () => laptop.end());

test("the sample has readings and history", async ({ page }) => {
  await page.goto(laptop.url + "/sample");
  await page.waitForURL("**/parts");
  await page.getByRole("link", { name: /Corner gusset, right/ }).click();
  await page.waitForURL("**/part/*");
  await expect(page.getByText(/±/).first()).toBeVisible();
  await page
    .getByRole("link", { name: /R3|2 of 2/ })
    .first()
    .click();
  await page.waitForURL("**/location/*");
  await expect(page.getByText("2 of 2")).toBeVisible(); // the rivet that was set again
  await expect(page.getByText(/4\.\d\d/).first()).toBeVisible();
  await expect(page.locator("main img, main canvas").first()).toBeVisible({ timeout: 30_000 });
});

test("the start asks for nothing again while the record is not read yet", async ({ page }) => {
  await page.goto(laptop.url + "/sample");
  await page.waitForURL("**/parts");
  await expect(page.getByRole("link", { name: /Corner gusset, left/ })).toBeVisible();
  let read = (): void => undefined;
  const held = new Promise<void>((go) => (read = go));
  await page.route("**/*.wasm", async (r) => {
    await held;
    await r.continue();
  });
  await page.goto(laptop.url + "/start");
  await expect(page.getByText("Opening the record.")).toBeVisible();
  await expect(page.getByText("Name the project")).toHaveCount(0);
  read();
  await expect(page.locator("nav.strip .go")).toHaveText("Snap", { timeout: 30_000 });
});
