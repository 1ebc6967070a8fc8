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
