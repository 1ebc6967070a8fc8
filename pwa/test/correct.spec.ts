import { expect, test } from "@playwright/test";
import { Laptop } from "./laptop";
import { named, visit } from "./workshop";

// A handle on the move: the reading runs along before it is dropped, and what is dropped counts.

let laptop: Laptop;
test.use({ serviceWorkers: "block", actionTimeout: 15_000, viewport: { width: 390, height: 844 } });
test.beforeAll(async () => {
  laptop = await Laptop.start();
});
test.afterAll(async () => laptop.end());

test("the reading runs along with a handle, and stays where it is dropped", async ({ page }) => {
  await page.goto(laptop.url + "/sample");
  await page.waitForURL("**/parts");
  await page.getByRole("link", { name: /Corner gusset, left/ }).click();
  await page.waitForURL("**/part/*");
  await visit(page, `${new URL(page.url()).pathname}/snap?sample`);
  await page.waitForURL("**/photo/*");
  await named(page);
  await page.getByRole("tab", { name: "R2" }).click();
  await page.getByRole("button", { name: "Correct" }).click();
  const reading = page.locator(".check .big");
  await expect(reading).toHaveText(/^Ø 7\.\d/);
  for (const tool of ["Outline", "Edge"]) {
    await page.getByRole("button", { name: tool }).click();
    const box = (await page.locator(".ph-pencil rect").first().boundingBox())!;
    const x = box.x + box.width / 2,
      y = box.y + box.height / 2;
    const seen = [await reading.innerText()];
    await page.mouse.move(x, y);
    await page.mouse.down();
    for (const by of [6, 12]) {
      await page.mouse.move(x + by, y);
      await expect(async () => {
        await page.mouse.move(x + by + Math.random(), y); // a finger is never still
        expect(seen).not.toContain(await reading.innerText());
      }).toPass();
      seen.push(await reading.innerText());
    }
    await expect(page.locator(".doing p")).toHaveCount(0); // none of it is measured for good yet
    await page.mouse.up();
    await expect(page.getByRole("button", { name: "Undo" })).not.toHaveAttribute(
      "aria-disabled",
      "true",
    );
    await expect(page.locator(".doing p")).toHaveCount(0);
    expect(await reading.innerText()).not.toBe(seen[0]);
  }

  // By arrows, taken back before it was measured, and done before it was.
  await page.getByRole("button", { name: "Outline" }).click();
  const before = await reading.innerText();
  const right = page.getByRole("button", { name: "Right", exact: true });
  for (let i = 0; i < 16; i++) await right.click(); // beyond the edge that shows
  await page.getByRole("button", { name: "Undo" }).click();
  await expect(reading).toHaveText(before);
  await page.waitForTimeout(700); // longer than arrows wait for one another
  await expect(page.locator(".doing p")).toHaveCount(0);
  await expect(reading).toHaveText(before);
  for (let i = 0; i < 16; i++) await right.click();
  await page.getByRole("button", { name: "Done" }).click();
  await expect(page.getByRole("button", { name: "Save" })).not.toHaveAttribute(
    "aria-disabled",
    "true",
  );
  await page.getByRole("button", { name: "Correct" }).click();
  await page.getByRole("button", { name: "Outline" }).click();
  await expect(reading).not.toHaveText(before);
});
