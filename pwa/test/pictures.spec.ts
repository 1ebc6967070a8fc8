// The pictures of README.md: the demonstration's record as a phone and a laptop show it, and its
// photo with what was measured on it. They are made in each run, so that what they show is there;
// PICTURES=testdata/pictures writes them where README.md has them (make pictures).
import { execFile } from "node:child_process";
import { mkdir, readFile } from "node:fs/promises";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { expect, test, type Page } from "@playwright/test";
import { Laptop } from "./laptop";
import { pairs } from "./workshop";

const root = fileURLToPath(new URL("../..", import.meta.url));
const to = join(root, process.env["PICTURES"] ?? "build/pictures");

let laptop: Laptop;
test.use({ serviceWorkers: "block" });
test.beforeAll(async () => {
  await mkdir(to, { recursive: true });
  laptop = await Laptop.demo();
});
test.afterAll(async () => laptop.end());

async function shot(page: Page, name: string): Promise<void> {
  // Pictures that come from the laptop are there, and nothing moves.
  await page.waitForFunction(() => [...document.images].every((i) => i.complete));
  await page.screenshot({
    path: join(to, `${name}.jpg`),
    type: "jpeg",
    quality: 82,
    animations: "disabled",
  });
}

test("the demonstration on a phone and on the laptop", async ({ page }) => {
  test.setTimeout(240_000);
  await pairs(page, laptop, laptop.link.split("#")[1]!, "Bench phone");
  await page.goto(laptop.url + "/parts");
  const part = page.getByRole("link", { name: /Corner gusset, aft left/ });
  await expect(part).toBeVisible({ timeout: 60_000 });
  await part.click();
  await page.waitForURL("**/part/*");
  await expect(page.getByText(/out/).first()).toBeVisible();
  await shot(page, "phone-part");

  const place = page.locator("a.row[href^='/location/']").first();
  await place.click();
  await page.waitForURL("**/location/*");
  await expect(page.getByText(/±/).first()).toBeVisible();
  await expect(page.getByText("no photo")).toHaveCount(0, { timeout: 60_000 }); // it comes from the laptop
  await shot(page, "phone-rivet");

  await page.goto(laptop.url + "/work");
  await expect(page.getByText(/drill out/i).first()).toBeVisible();
  await shot(page, "phone-work");

  await page.setViewportSize({ width: 1280, height: 800 });
  await page.goto(laptop.url + "/parts");
  await page.getByRole("link", { name: /Corner gusset, aft left/ }).click();
  await page.waitForURL("**/part/*");
  await expect(page.getByText(/out/).first()).toBeVisible();
  await shot(page, "laptop");
});

test("the photo with its dimensions", async ({ page }) => {
  const drawn = join(root, "build", "picture-annotated.jpg");
  await promisify(execFile)(join(root, "build", "bucktail"), [
    ..."measure --what shop-head --rivet 4 --card-scale 1.002,0.999 --card-thickness 0.25".split(
      " ",
    ),
    "--annotate",
    drawn,
    join(root, "server/demo/photos/aft-left.jpg"),
  ]);
  const data = (await readFile(drawn)).toString("base64");
  await page.setContent(
    `<style>body{margin:0}img{display:block}</style><img src="data:image/jpeg;base64,${data}">`,
  );
  const size = await page
    .locator("img")
    .evaluate((i: HTMLImageElement) => ({ w: i.naturalWidth, h: i.naturalHeight }));
  const width = Math.min(size.w, 1200);
  await page.setViewportSize({ width, height: 760 });
  await shot(page, "annotated");
});
