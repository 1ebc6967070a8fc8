import { expect, test } from "@playwright/test";
import { root } from "./goside";
import { Laptop } from "./laptop";
import { button, newAngle, setUp } from "./workshop";

// A second look: what one photo can't tell is offered to a second one, and what both tell together is
// kept with both.

let laptop: Laptop;
test.use({ serviceWorkers: "block", actionTimeout: 20_000, viewport: { width: 390, height: 844 } });
test.beforeAll(async () => {
  laptop = await Laptop.start();
});
test.afterAll(async () => laptop.end());

const view = (which: string): string => `${root}testdata/views/990108-${which}.jpg`;

test("one more photo is measured together with the first, and both are kept", async ({ page }) => {
  test.setTimeout(300_000);
  await setUp(page, laptop);
  const part = await newAngle(page, laptop);
  await page.goto(`${laptop.url}${part}/snap`);
  const file = page.locator("input[type=file]").last();
  await file.setInputFiles(view("a"));
  await page.waitForURL("**/photo/*");
  const result = page.url(),
    offer = page.getByRole("link", { name: "One more from the left" }),
    tabs = page.getByRole("group", { name: "Photos measured together" });
  await expect(offer).toBeVisible({ timeout: 90_000 });
  await expect(tabs).toHaveCount(0);

  // The same file is no second look.
  await offer.click();
  await expect(page.getByRole("heading", { level: 1 })).toHaveText("One more photo");
  await file.setInputFiles(view("a"));
  await expect(page.getByText("This is the same file as photo 1", { exact: false })).toBeVisible();

  await file.setInputFiles(view("b"));
  await page.waitForURL(result);
  // The first photo's answer is there at once, and says what goes on.
  await expect(page.getByText(/^Photo 2: /)).toBeVisible();
  await expect(page.getByRole("tab").nth(1)).toBeVisible();
  await expect(page.getByText("Stands on 2 of 2 photos")).toBeVisible({ timeout: 90_000 });
  // What is still open is asked from where nobody looked yet.
  await expect(page.getByRole("link", { name: /^One more from/ })).toBeVisible();
  await tabs.getByRole("button", { name: "Photo 2" }).click();
  await expect(tabs.getByRole("button", { name: "Photo 2" })).toHaveAttribute(
    "aria-pressed",
    "true",
  );

  await page.getByRole("tab").nth(1).click();
  await expect(page.locator(".standson")).toContainText("Stands on 2 of 2 photos");
  await expect(page.locator(".standson")).toContainText(/mean head diameter± 0\.\d+ → 0\.\d+/i);
  await page.getByRole("tab", { name: "All" }).click();

  await button(page, "Save").click();
  await page.waitForURL(`**${part}**`);
  await page.goto(laptop.url + part);
  await page.locator("a.row[href^='/location/']").first().click();
  await expect(page.getByText("Stands on 2 views", { exact: false }).first()).toBeVisible();

  const id = part.split("/").pop()!;
  await expect
    .poll(
      async () =>
        (await page.request.get(`${laptop.url}/api/exports/readings.csv?part=${id}`)).text(),
      { timeout: 60_000 },
    )
    .toMatch(/,2,[0-9a-f]{64} [0-9a-f]{64},/);
});
