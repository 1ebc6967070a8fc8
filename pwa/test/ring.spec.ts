import { expect, test, type Page } from "@playwright/test";
import { root } from "./goside";
import { Laptop } from "./laptop";
import { named, visit } from "./workshop";

// The ring that is corrected is the ring that was measured: left alone it changes nothing, its sides
// dragged one after the other keep to the edge that shows, and what stands on the hand alone says so.

let laptop: Laptop;
test.use({ serviceWorkers: "block", actionTimeout: 15_000, viewport: { width: 390, height: 844 } });
test.beforeAll(async () => {
  laptop = await Laptop.start();
});
test.afterAll(async () => laptop.end());

const reading = (page: Page) => page.locator(".check .big");
const from = (page: Page) => page.locator(".check .label[role=status]");
const done = (page: Page) => expect(page.locator(".doing p")).toHaveCount(0);
const mm = async (page: Page): Promise<number> =>
  Number(/\d+\.\d+/.exec(await reading(page).innerText())![0]);

async function opened(page: Page, tag: string): Promise<void> {
  await page.goto(laptop.url + "/sample");
  await page.waitForURL("**/parts");
  await page.getByRole("link", { name: /Corner gusset, left/ }).click();
  await page.waitForURL("**/part/*");
  await visit(page, `${new URL(page.url()).pathname}/snap?sample`);
  await page.waitForURL("**/photo/*");
  await named(page);
  await page.getByRole("tab", { name: tag }).click();
}

/** Drags the side n (right, bottom, left, top) by so many CSS px. */
async function drags(page: Page, n: number, dx: number, dy: number): Promise<void> {
  const box = (await page.locator(".ph-pencil rect").nth(n).boundingBox())!;
  const x = box.x + box.width / 2,
    y = box.y + box.height / 2;
  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.mouse.move(x + dx / 2, y + dy / 2);
  await page.mouse.move(x + dx, y + dy);
  await page.mouse.up();
  // What is dropped is measured at once: the screen says so in its next frame.
  await page.evaluate(
    () => new Promise((r) => requestAnimationFrame(() => requestAnimationFrame(r))),
  );
  await done(page);
}

test("a correction begins and ends with what was measured", async ({ page }) => {
  await opened(page, "R2");
  const measured = await page.locator(".check .big, .row .rd").allInnerTexts();
  await page.getByRole("button", { name: "Correct", exact: true }).click();
  await expect(page.locator(".ph-pencil rect")).toHaveCount(4);
  const was = await reading(page).innerText();
  await expect(from(page)).toHaveText("as measured");

  // Taken hold of, and let go.
  await drags(page, 0, 0, 0);
  await expect(reading(page)).toHaveText(was);
  await expect(from(page)).toHaveText("as measured");
  // One press of an arrow there, and one back.
  for (const way of ["Right", "Left"]) {
    await page.getByRole("button", { name: way, exact: true }).click();
    await page.waitForTimeout(700);
    await done(page);
    await expect(reading(page)).toHaveText(was);
  }
  // A side moves in and out alone.
  await page.getByRole("button", { name: "Up", exact: true }).press("Enter");
  await expect(page.getByText("A side moves in or out.")).toBeVisible();

  // All four, one after the other, each as well as a finger can.
  for (const [n, dx, dy] of [
    [0, 1, 0],
    [1, 0, -1],
    [2, -1, 0],
    [3, 0, 1],
  ] as const)
    await drags(page, n, dx, dy);
  await expect(reading(page)).toHaveText(was);
  await expect(from(page)).toHaveText("as measured: the marks lie on that edge");
  await page.getByRole("button", { name: "Done", exact: true }).click();
  await page.getByRole("tab", { name: "R2" }).click();
  expect(await page.locator(".check .big, .row .rd").allInnerTexts()).toEqual(measured);
  await expect(page.getByText("hand-placed")).toHaveCount(0);
});

test("far from any edge the hand's marks are taken, said so, and undone", async ({ page }) => {
  await opened(page, "R2");
  await page.getByRole("button", { name: "Correct", exact: true }).click();
  const was = await reading(page).innerText(),
    first = await mm(page);
  await drags(page, 0, 40, 0);
  await expect(from(page)).toContainText("by hand alone: no edge shows near the marks");
  await page.screenshot({ path: `${root}build/ways/ring.png` });
  await expect(from(page)).toContainText("was " + was.replace(/^Ø /, "").slice(0, 4));
  expect(await mm(page)).toBeGreaterThan(first + 0.2);
  // One side moves half as far as the diameter's two would.
  const once = await mm(page);
  await drags(page, 2, -40, 0);
  expect((await mm(page)) - once).toBeGreaterThan(0.7 * (once - first));
  await page.getByRole("button", { name: "Undo" }).click();
  await expect(reading(page)).toContainText(once.toFixed(2));
  await page.getByRole("button", { name: "Undo" }).click();
  await expect(reading(page)).toHaveText(was);
  await expect(from(page)).toHaveText("as measured");
});
