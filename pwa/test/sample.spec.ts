import { expect, test, type Page } from "@playwright/test";
import { Laptop } from "./laptop";
import { sample, visit } from "./workshop";

// Without a laptop's record: the sample has a part that has been worked on, with photos, readings
// and what came of them, and one that waits for a photo, at which a limit holds at one location alone:
// its others keep theirs.

let laptop: Laptop;
test.beforeAll(async () => {
  laptop = await Laptop.start();
});
test.afterAll(async () => laptop.end());

const heldAgainst = (page: Page, name: RegExp) =>
  page.locator("section, main").last().locator("li").filter({ hasText: name });

test("the sample has readings and history; a limit of a location holds there alone", async ({
  page,
}) => {
  const part = await sample(page, laptop);
  const rows = page.locator("a.row[href^='/location/']");
  await rows.first().waitFor(); // the list is read once it is there
  const places = await rows.evaluateAll((all) => all.map((a) => a.getAttribute("href")!));
  await visit(page, places[0] + "/edit");
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

  await visit(page, `${part}/limits?location=${places[0]!.split("/")[2]}`);
  await expect(heldAgainst(page, /11\.50 mm/)).toHaveCount(1);
  for (const other of [`${part}/limits`, `${part}/limits?location=${places[1]!.split("/")[2]}`]) {
    await visit(page, other);
    await expect(page.getByRole("heading", { name: "Limits in force" })).toBeVisible();
    await expect(heldAgainst(page, /mm/).first()).toBeVisible();
    await expect(heldAgainst(page, /11\.50 mm/)).toHaveCount(0);
  }

  await test.step("a part that has been worked on has readings and history", async () => {
    await visit(page, "/parts");
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

  await test.step("the start asks for nothing again while the record is not read yet", async () => {
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
});
