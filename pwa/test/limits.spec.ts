import { expect, test, type Page } from "@playwright/test";
import { Laptop } from "./laptop";

// A limit that holds at one location alone: the part's others keep theirs.

let laptop: Laptop;
test.use({ serviceWorkers: "block", actionTimeout: 15_000 });
test.beforeAll(async () => {
  laptop = await Laptop.start();
});
test.afterAll(async () => laptop.end());

const heldAgainst = (page: Page, name: RegExp) =>
  page.locator("section, main").last().locator("li").filter({ hasText: name });

test("a location's own limit holds there alone", async ({ page }) => {
  await page.goto(laptop.url + "/sample");
  await page.waitForURL("**/parts");
  await page.getByRole("link", { name: /Corner gusset, left/ }).click();
  await page.waitForURL("**/part/*");
  const part = new URL(page.url()).pathname;
  const places = await page
    .locator("a.row[href^='/location/']")
    .evaluateAll((all) => all.map((a) => a.getAttribute("href")!));
  await page.goto(laptop.url + places[0] + "/edit");
  await page.getByRole("link", { name: /^Limits of .+ alone$/ }).click();
  await page.waitForURL("**/limits?location=*");
  await page.getByRole("button", { name: "Add a limit" }).click();
  await page.getByLabel("Short name").fill("HF-12");
  await page.getByLabel("Drawing reference").fill("HF-12 sheet 2");
  await page.getByLabel("Quantity").selectOption({ label: "edge distance" });
  await page.getByLabel("Least", { exact: true }).fill("11.5");
  await expect(heldAgainst(page, /11\.50 mm/)).toHaveCount(1);
  await page.getByRole("button", { name: "Save" }).click();
  await page.waitForURL("**/edit");

  await page.goto(`${laptop.url}${part}/limits?location=${places[0]!.split("/")[2]}`);
  await expect(heldAgainst(page, /11\.50 mm/)).toHaveCount(1);
  for (const other of [`${part}/limits`, `${part}/limits?location=${places[1]!.split("/")[2]}`]) {
    await page.goto(laptop.url + other);
    await expect(page.getByRole("heading", { name: "Limits in force" })).toBeVisible();
    await expect(heldAgainst(page, /mm/).first()).toBeVisible();
    await expect(heldAgainst(page, /11\.50 mm/)).toHaveCount(0);
  }
});
