import { expect, test } from "@playwright/test";
import { readFileSync } from "node:fs";
import { root } from "./goside";
import { Laptop } from "./laptop";
import { cameraOf } from "./taken";
import { button, newAngle, setUp, visit } from "./workshop";

// A second look: what one photo can't tell is offered to a second one, and what both tell together is
// kept with both.

let laptop: Laptop;
test.use({
  serviceWorkers: "block",
  actionTimeout: 20_000,
  viewport: { width: 390, height: 844 },
  permissions: ["camera"],
  launchOptions: cameraOf(`${root}testdata/photos/dev-08.jpg`),
});
test.beforeAll(async () => {
  laptop = await Laptop.start();
});
test.afterAll(async () => laptop.end());

const view = (which: string): string => `${root}testdata/views/990108-${which}.jpg`;

test("one more photo is measured together with the first, and both are kept", async ({ page }) => {
  test.setTimeout(600_000);
  await page.emulateMedia({ reducedMotion: "reduce" });
  await setUp(page, laptop);
  const part = await newAngle(page);
  await page.goto(`${laptop.url}${part}/snap`);
  const file = page.locator("input[type=file]").last();
  // Three in a row: after the first the phone is wanted elsewhere, and two or one are enough as well.
  await button(page, "Three in a row").click();
  await file.setInputFiles(view("a"));
  await expect(page.locator(".live .words")).toContainText("Go to the left until the tilt is 20°");
  await button(page, "1 of 3 taken. Enough").click();
  await page.waitForURL("**/photo/*");
  const result = page.url(),
    offer = page.getByRole("link", { name: "One more from the left" }),
    tabs = page.getByRole("group", { name: "Photos measured together" });
  await expect(offer).toBeVisible({ timeout: 120_000 });
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
  await expect(page.getByText("Stands on 2 of 2 photos")).toBeVisible({ timeout: 120_000 });
  // What is still open is asked from where nobody looked yet.
  await expect(page.getByRole("link", { name: /^One more from/ })).toBeVisible();
  await tabs.getByRole("button", { name: "Photo 2" }).click();
  await expect(tabs.getByRole("button", { name: "Photo 2" })).toHaveAttribute(
    "aria-pressed",
    "true",
  );

  await page.getByRole("tab").nth(1).click();
  await expect(page.locator(".standson")).toContainText("Stands on 2 of 2 photos");
  await expect(page.locator(".standson")).toContainText(/mean head diameter0\.\d+ mm → 0\.\d+ mm/);
  await page.getByRole("tab", { name: "All" }).click();

  // A push aside over the whole picture shows the next photo's contours, here the first's, and then the second's again.
  const photo = (await page.locator(".result-photo").boundingBox())!;
  for (const shown of ["Photo 1", "Photo 2"]) {
    await page.mouse.move(photo.x + 0.8 * photo.width, photo.y + photo.height / 2);
    await page.mouse.down();
    await page.mouse.move(photo.x + 0.3 * photo.width, photo.y + photo.height / 2, { steps: 3 });
    await page.mouse.up();
    await expect(tabs.getByRole("button", { name: shown })).toHaveAttribute("aria-pressed", "true");
  }

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

  // The phone is proven on heads of known size: sizes that are all off by 0.4 mm make U grow.
  await visit(page, "/prove");
  await page.getByLabel("Size").fill("-6");
  await button(page, "Take three photos").click();
  await file.setInputFiles(["a", "a"].map(view)); // refused in its own words, no fault of the app
  await expect(page.getByRole("alert")).toHaveText(/^This is a photo that you took already/, {
    timeout: 60_000,
  });
  await file.setInputFiles(["b", "c"].map(view));
  await expect(page.getByLabel("Number 1", { exact: true })).toBeVisible({ timeout: 120_000 });
  await page.getByLabel("± of it").fill("0.03");
  const truth = JSON.parse(readFileSync(view("a").replace("jpg", "json"), "utf8")) as {
    fasteners: { head_d_mean_mm: number }[];
  };
  const sizes = page.getByLabel(/^Number \d$/);
  for (let i = 0; i < (await sizes.count()); i++)
    await sizes.nth(i).fill((truth.fasteners[i]!.head_d_mean_mm - 4).toFixed(2));
  await expect(page.locator(".answer")).toContainText("± is too small");
  await button(page, "Keep").click();
  await expect(page.getByText("Kept in the record", { exact: false })).toBeVisible();
  // Printed circles prove the optics alone: nobody types a size.
  await page.getByRole("radio", { name: "printed circles" }).check();
  await button(page, "Take three photos").click();
  const drawn = readFileSync(`${root}testdata/circles.jpg`);
  await file.setInputFiles(
    [0, 1, 2].map((k) => ({
      name: `${k}.jpg`,
      mimeType: "image/jpeg",
      buffer: Buffer.concat([drawn, Buffer.from([k])]), // another file of the same picture
    })),
  );
  await expect(page.locator(".answer")).toContainText("18 of 18 errors lie within U");
  await expect(page.getByText("Circle of 10 mm, mean error")).toBeVisible();
  await button(page, "Keep").click();
  await expect(page.getByText("printed circles, sheet", { exact: false })).toBeVisible();
  await page.goto(`${laptop.url}${part}/snap`);
  await file.setInputFiles(view("c"));
  await page.waitForURL("**/photo/*");
  await expect(
    page.getByText(/Its gauge study found larger errors: ± is \d+\.\d\d times/),
  ).toBeVisible({ timeout: 120_000 });
});
