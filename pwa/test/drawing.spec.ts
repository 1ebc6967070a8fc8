import { expect, test } from "@playwright/test";
import { Laptop } from "./laptop";

// What is drawn on a photo comes from the Go side for each view: it never goes away meanwhile, ends
// where the photo does, and says what a finger means.

let laptop: Laptop;
test.use({ serviceWorkers: "block", actionTimeout: 15_000, viewport: { width: 390, height: 844 } });
test.beforeAll(async () => {
  laptop = await Laptop.start();
});
test.afterAll(async () => laptop.end());

test("the drawing stays while the photo is zoomed, and is planned anew for where it ends", async ({
  page,
}) => {
  await page.goto(laptop.url + "/sample");
  await page.waitForURL("**/parts");
  await page.getByRole("link", { name: /Corner gusset, left/ }).click();
  await page.waitForURL("**/part/*");
  await page.goto(`${page.url()}/snap?sample`);
  await page.waitForURL("**/photo/*");
  const photo = page.locator(".photo"),
    values = photo.locator(".dimtext"),
    moved = photo.locator("svg > g[transform]");
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
  const inside = await photo.evaluate((p) => {
    const f = p.getBoundingClientRect();
    return [...p.querySelectorAll(".plaque")].every((e) => {
      const r = e.getBoundingClientRect();
      return r.left >= f.left && r.right <= f.right && r.top >= f.top && r.bottom <= f.bottom;
    });
  });
  expect(inside, "no value leaves the frame").toBe(true);

  // A tag chooses its fastener: its values have their U, and the part below is its own.
  const tag = photo.locator("g:has(> .tagtext)").first(),
    name = (await tag.locator(".tagtext").textContent())!;
  await tag.locator(".tagbox").click({ force: true }); // a finger: what is drawn above passes it on
  await expect(page.getByRole("tab", { name })).toHaveAttribute("aria-selected", "true");
  await expect(values.first()).toHaveText(/ ± /);
  await expect(photo.locator(".tagtext")).toHaveText([name]);

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
