import { expect, test } from "@playwright/test";
import { readFileSync } from "node:fs";
import { root } from "./goside";
import { Laptop } from "./laptop";
import { button, pairs, sample, snapsSample, turn, visit } from "./workshop";

// What a builder reads: plain words, the sample named as such, sizes and dates as they are.

let laptop: Laptop;
test.use({ locale: "en-US" });
test.beforeAll(async () => {
  laptop = await Laptop.start();
});
test.afterAll(async () => laptop.end());

test("the sample is never taken for the real record", async ({ page }) => {
  const mark = page.getByText("Sample: not your record");
  const part = await sample(page, laptop);
  for (const at of ["/parts", "/work", "/settings", "/cards", "/part/new"]) {
    await visit(page, at);
    await expect(mark, at).toBeVisible();
  }
  await snapsSample(page, part);
  await expect(mark).toBeVisible();
  // Whoever reads it may go on: the app takes no step of its own after it.
  await page.evaluate(() => {
    const seen = new MutationObserver(() => {
      if (!document.body.innerText.includes("Saved on this phone")) return;
      seen.disconnect();
      document.body.dataset["saidAt"] = location.href;
    });
    seen.observe(document.body, { childList: true, subtree: true, characterData: true });
  });
  await button(page, "Save").click();
  await expect(page.getByText(/^Saved on this phone/)).toBeVisible({ timeout: 30_000 });
  expect(await page.locator("body").getAttribute("data-said-at")).toMatch(/snap\?next=/);
  if (process.env["LOOK"]) await page.screenshot({ path: process.env["LOOK"] + "/sample.png" });

  // What was said of a saved photo does not stand over the next one.
  await visit(page, `${part}/snap?sample`);
  await page.waitForURL("**/photo/*");
  await expect(page.getByText(/^Saved on this phone/)).toHaveCount(0);

  await visit(page, "/work");
  await expect(page.locator("main a.row .unseen").first()).toHaveText(/out|can't tell/);

  await turn(page, "/sample/leave");
  await expect(page.getByText(/of yours (is|are) in the sample/)).toBeVisible();
  await button(page, "Leave the sample").click();
  await expect(mark).toHaveCount(0);

  // Whoever joins from within the sample is in the workshop.
  await page.goto(laptop.url + "/sample");
  await page.waitForURL("**/parts");
  await pairs(page, laptop, laptop.link.split("#")[1]!, "Bench phone");
  await expect(mark).toHaveCount(0);
  await page.goto(laptop.url + "/parts");
  await expect(mark).toHaveCount(0);
  await expect(page.getByText("No project yet").first()).toBeVisible();

  await test.step("units and paper by region, sizes as typed, plain words", async () => {
    await visit(page, "/project/new");
    await expect(page.getByRole("radio", { name: "inch" })).toBeChecked();
    await expect(page.getByRole("radio", { name: "Letter" })).toBeChecked();
    await page.getByLabel("Name", { exact: true }).fill("Tarn 2");
    await button(page, "Create the project").click();
    await page.waitForURL("**/start");
    await visit(page, "/cards/new");
    await page.getByLabel("Check line across").fill("149.55");
    await page.getByLabel("Check line along").fill("5.89 in"); // calipers that show inches alone
    await page.getByLabel("Thickness, with backing").fill("0.255");
    await page.getByText("What ± means").click();
    await expect(page.getByText(/k = 2/)).toBeVisible();
    await button(page, "Save").click();
    await page.waitForURL("**/cards");
    await expect(page.getByText(/149\.55 mm.*149\.606 mm.*0\.255 mm/)).toBeVisible();
    await expect(page.getByText(/measured \d+ \w+ 20\d\d/)).toBeVisible();
    await visit(page, "/start");
    await expect(page.locator(".steps li.done .n").first()).toHaveText("✓");
    await visit(page, "/part/new");
    await expect(page.getByRole("heading", { name: "Sheets, top to bottom" })).toBeVisible();
    await page.getByLabel("Name", { exact: true }).fill("Angle");
    await page.getByLabel("Size").fill("3,2");
    await expect(page.getByText(/^Size "3,2" has no unit\. Write/)).toBeVisible();
    await page.getByLabel("Size").fill("-4");
    await expect(page.getByText(/^D /)).toBeVisible();
    await button(page, "Add the part").click();
    await page.waitForURL("**/part/*/layout");
    await expect(page.getByText("Add names only")).toBeVisible();
    const at = /\/part\/[^/]+/.exec(page.url())![0];
    // Another part's rivet of the same size is written in another way.
    await visit(page, "/part/new");
    await page.getByLabel("Name", { exact: true }).fill("Strap");
    await page.getByLabel("Size").fill("1/8");
    await expect(page.getByText(/^D /)).toBeVisible();
    await button(page, "Add the part").click();
    await page.waitForURL(
      (url) => url.pathname.endsWith("/layout") && !url.pathname.startsWith(at),
    );
    await visit(page, `${at}/edit`);
    await expect(page.getByLabel("Size")).toHaveValue("-4");
    await visit(page, `${at}/snap`);
    const photo = readFileSync(root + "testdata/photos/dev-08.jpg");
    await page
      .locator("input[type=file]")
      .last()
      .setInputFiles({
        name: "cut.jpg",
        mimeType: "image/jpeg",
        buffer: photo.subarray(0, photo.length >> 1),
      });
    await page.waitForURL("**/photo/*");
    await expect(page.getByText(/damaged or was cut off/)).toHaveCount(1, { timeout: 60_000 });
    await expect(page.getByText(/Huffman|EOF|marker/)).toHaveCount(0);
  });

  await test.step("a clock that is far off is named", async () => {
    await page.route("**/api/**", async (r) => {
      const answer = await r.fetch();
      await r.fulfill({
        response: answer,
        headers: { ...answer.headers(), date: new Date(Date.now() + 3 * 3600_000).toUTCString() },
      });
    });
    await visit(page, "/unsent");
    await button(page, "Try now").click();
    await expect(page.getByText(/clock is 3 h behind the laptop's/)).toBeVisible();
    await visit(page, "/parts"); // and wherever the work goes on
    await expect(page.getByRole("banner")).toContainText("clock off3 h");
    // A request may still be on its way when the page is closed.
    await page.unrouteAll({ behavior: "ignoreErrors" });
  });
});
