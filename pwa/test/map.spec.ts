import { expect } from "@playwright/test";
import { test } from "./shop";
import { button, newAngle, newProject, rows, snaps, visit } from "./workshop";

// A part without pins gets its map from the first saved photo, at true scale; and pins that a finger
// places too near to each other are named at once.

test("the first photo lays out the part; pins too near are named", async ({
  shop: { phone: page },
}) => {
  await newProject(page);
  const part = await newAngle(page);

  await test.step("under 3 D apart and 2 D from the edge is said while pins are placed", async () => {
    await page.getByText("Picture", { exact: true }).waitFor();
    await page.getByLabel("Width").fill("100");
    await page.getByLabel("Height").fill("50");
    await button(page, "Use this grid").click();
    await page.locator("details", { hasText: "Place by coordinates" }).waitFor();
    await expect(async () => {
      // The grid, once it is there, takes the place of the picture's form: the row moves under the finger.
      if (!(await page.getByLabel("from the left").isVisible()))
        await page.getByText("Place by coordinates").click();
      await expect(page.getByLabel("from the left")).toBeVisible({ timeout: 2_000 });
    }).toPass();
    const put = async (x: number, y: number): Promise<void> => {
      await page.getByLabel("from the left").fill(String(x));
      await page.getByLabel("from the top").fill(String(y));
      await button(page, "Put it there").click();
    };
    await put(30, 25);
    await put(45, 25); // 15 mm: 3.15 D
    await expect(page.getByText(/apart/)).toHaveCount(0);
    await put(55, 25);
    await expect(page.getByText(/^R2 and R3 are 10\.00 mm apart, 2\.1 D\./)).toBeVisible();
    await put(80, 5);
    await expect(page.getByText(/^R4 is 5\.00 mm from the edge, 1\.0 D\./)).toBeVisible();
    if (process.env["LOOK"])
      await page.screenshot({ path: process.env["LOOK"] + "/map-tight.png", fullPage: true });
  });

  await visit(page, "/part/new");
  await page.getByLabel("Name", { exact: true }).fill("Angle without pins");
  await page.getByLabel("Size").fill("-6");
  await expect(page.getByText(/^D 4\.76/)).toBeVisible();
  await button(page, "Add the part").click();
  await page.waitForURL("**/part/*/layout");
  const bare = /\/part\/[^/]+/.exec(page.url())![0];
  expect(bare).not.toBe(part);
  await snaps(page, bare);
  const save = button(page, "Save");
  await expect(save).toBeVisible({ timeout: 90_000 });
  await expect(save).not.toHaveAttribute("aria-disabled", "true", { timeout: 60_000 });
  await save.click();
  await expect(page.getByText(/^Saved on this phone/)).toBeVisible({ timeout: 30_000 });
  await visit(page, bare);
  await expect.poll(() => rows(page)).toHaveLength(3);
  const pins = page.locator(".layout [role=button]");
  await expect(pins).toHaveCount(3);
  await expect(page.locator(".behind img")).toBeVisible();
  // True scale: pitches on the map have the ratio that the photo's truth has.
  const at = await pins.evaluateAll((all) =>
    all.map((g) => {
      const r = g.querySelector(".hit")!.getBoundingClientRect();
      return [r.x + r.width / 2, r.y + r.height / 2] as const;
    }),
  );
  const pitch = (i: number, j: number): number =>
    Math.hypot(at[i]![0] - at[j]![0], at[i]![1] - at[j]![1]);
  expect(pitch(0, 2)).toBeGreaterThan(pitch(0, 1));
  await pins.first().click({ trial: true }); // the photo lies behind, not over them
  if (process.env["LOOK"]) await page.screenshot({ path: process.env["LOOK"] + "/map-photo.png" });
});
