import { expect, test, type Page } from "@playwright/test";
import { root } from "./goside";
import { Laptop } from "./laptop";
import { sample, snapsSample, turn, visit } from "./workshop";

// The ring that is corrected is the ring that was measured: left alone it changes nothing, its sides
// dragged one after the other keep to the edge that shows, and what stands on the hand alone says so.
// On the move the reading runs along before it is dropped, and what is dropped counts. What is drawn
// on a photo comes from the Go side for each view: it never goes away meanwhile, ends where the photo
// does, and says what a finger means.

let laptop: Laptop, page: Page, photo: string;
test.beforeAll(async ({ browser }) => {
  laptop = await Laptop.start();
  page = await browser.newPage();
  photo = await snapsSample(page, await sample(page, laptop));
});
test.afterAll(async () => {
  await page.close();
  await laptop.end();
});

const reading = (page: Page) => page.locator(".check .big");
const from = (page: Page) => page.locator(".check .label[role=status]");
const done = (page: Page) => expect(page.locator(".doing p")).toHaveCount(0);
const mm = async (page: Page): Promise<number> =>
  Number(/\d+\.\d+/.exec(await reading(page).innerText())![0]);

/** Opens the photo anew and chooses a fastener. */
async function chooses(tag: string): Promise<void> {
  await turn(page, "/photos"); // away from what the test before it left open
  await visit(page, photo);
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

test("a correction begins and ends with what was measured", async () => {
  await chooses("R2");
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
  // On a photo of its own: the one before keeps what was corrected on it.
  await snapsSample(page, await sample(page, laptop));
  await page.getByRole("tab", { name: "R2" }).click();
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

test("the reading runs along with a handle, and stays where it is dropped", async () => {
  await chooses("R2");
  await page.getByRole("button", { name: "Correct" }).click();
  const reading = page.locator(".check .big");
  await expect(reading).toHaveText(/^Ø 7\.\d/);
  for (const tool of ["Outline", "Edge"]) {
    await page.getByRole("button", { name: tool }).click();
    const handle = page.locator(".ph-pencil rect").first();
    let box = (await handle.boundingBox())!;
    await expect(async () => {
      const before = box; // the photo is drawn nearer first, and its handles with it
      await page.waitForTimeout(150);
      box = (await handle.boundingBox())!;
      expect(box).toEqual(before);
    }).toPass({ timeout: 15_000 });
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
      }).toPass({ timeout: 20_000 });
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

test("the drawing stays while the photo is zoomed, and is planned anew for where it ends", async () => {
  await turn(page, "/photos");
  await visit(page, photo);
  const shown = page.locator(".photo"),
    values = shown.locator(".dimtext"),
    moved = shown.locator("svg > g[transform]");
  await expect(values.first()).toBeVisible({ timeout: 60_000 });
  await expect(moved).toHaveCount(0);

  // In each of 60 frames the view changes.
  const least = await page.evaluate(
    () =>
      new Promise<{ texts: number; moved: number }>((resolve) => {
        const p = document.querySelector(".photo")!,
          r = p.getBoundingClientRect(),
          seen = { texts: Infinity, moved: 0 };
        let n = 0;
        const each = (): void => {
          seen.texts = Math.min(seen.texts, p.querySelectorAll(".tagtext").length);
          seen.moved += p.querySelectorAll("svg > g[transform]").length;
          p.dispatchEvent(
            new WheelEvent("wheel", {
              clientX: r.left + r.width * 0.4,
              clientY: r.top + r.height * 0.5,
              deltaY: -6,
              bubbles: true,
              cancelable: true,
            }),
          );
          if (++n < 60) requestAnimationFrame(each);
          else resolve(seen);
        };
        requestAnimationFrame(each);
      }),
  );
  expect(least.texts).toBeGreaterThan(0);
  expect(least.moved, "the old drawing is moved along").toBeGreaterThan(0);
  await expect(moved).toHaveCount(0);
  // Zoomed by e^(360/400): values keep their size, the outlines lie on the heads of the larger photo.
  await expect(values.first()).toHaveAttribute("font-size", "15");
  const inside = await shown.evaluate((p) => {
    const f = p.getBoundingClientRect();
    return [...p.querySelectorAll(".plaque")].every((e) => {
      const r = e.getBoundingClientRect();
      return r.left >= f.left && r.right <= f.right && r.top >= f.top && r.bottom <= f.bottom;
    });
  });
  expect(inside, "no value leaves the frame").toBe(true);

  // A tag chooses its fastener: its values have their U, and the part below is its own.
  const tag = shown.locator("g:has(> .tagtext)").first(),
    name = (await tag.locator(".tagtext").textContent())!;
  await tag.locator(".tagbox").click({ force: true }); // a finger: what is drawn above passes it on
  await expect(page.getByRole("tab", { name })).toHaveAttribute("aria-selected", "true");
  await expect(values.first()).toHaveText(/ ± /);
  await expect(shown.locator(".tagtext")).toHaveText([name]);

  // Outdoors they are larger.
  await page.evaluate(() =>
    localStorage.setItem(
      "bucktail-look",
      JSON.stringify({ theme: "outdoor", hand: "right", large: false }),
    ),
  );
  await page.reload();
  await expect(values.first()).toHaveAttribute("font-size", "17", { timeout: 60_000 });
});
