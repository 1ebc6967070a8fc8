// The pictures of README.md: the demonstration's record as a phone and a laptop show it, its
// photo with what was measured on it, and a page of its report. They are made in each run, so that what they show is there;
// PICTURES=testdata/pictures writes them where README.md has them (make pictures).
import { execFile } from "node:child_process";
import { mkdir, readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { expect, test, type Page } from "@playwright/test";
import { Laptop } from "./laptop";
import { keeps } from "./taken";
import { pairs } from "./workshop";

const root = fileURLToPath(new URL("../..", import.meta.url));
const to = join(root, process.env["PICTURES"] ?? "build/pictures");

let laptop: Laptop;
test.beforeAll(async () => {
  await mkdir(to, { recursive: true });
  laptop = await Laptop.demo();
});
test.afterAll(async () => laptop.end());

const run = promisify(execFile);

const shot = (page: Page, name: string): Promise<void> => keeps(page, join(to, `${name}.jpg`), 82);

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
  // It comes from the laptop, and is 320 wide once it is drawn.
  await expect(page.locator("canvas.crop").first()).toHaveAttribute("width", "320", {
    timeout: 60_000,
  });
  await expect(page.getByText(/^max \d/).first()).toBeVisible();
  await shot(page, "phone-rivet");

  await page.goto(laptop.url + "/work");
  await expect(page.getByRole("heading", { name: "Measure by hand" })).toBeVisible();
  await shot(page, "phone-work");

  await page.setViewportSize({ width: 1280, height: 800 });
  await page.goto(laptop.url + "/parts");
  await page.getByRole("link", { name: /Corner gusset, aft left/ }).click();
  await page.waitForURL("**/part/*");
  await expect(page.getByText(/out/).first()).toBeVisible();
  await shot(page, "laptop");
  await report(page, new URL(page.url()).pathname.split("/")[2]!);
});

/** A page of the part's report, as the laptop makes it. */
async function report(page: Page, part: string): Promise<void> {
  const pdf = await page.request.get(`${laptop.url}/api/exports/report.pdf?part=${part}`);
  expect(pdf.ok()).toBe(true);
  const file = join(root, "build", "picture-report");
  await writeFile(file + ".pdf", await pdf.body());
  // The first page that shows a photo with what was measured on it.
  const { stdout } = await run("pdftotext", ["-layout", file + ".pdf", "-"]);
  const at = stdout.split("\f").findIndex((t) => /Photo, SHA-256/.test(t) && /±/.test(t)) + 1;
  expect(at).toBeGreaterThan(0);
  await run("pdftoppm", `-png -r 110 -f ${at} -l ${at} -singlefile ${file}.pdf ${file}`.split(" "));
  await framed(page, file + ".png", "png", 1000, 1300);
  await shot(page, "report");
}

test("the photo with its dimensions", async ({ page }) => {
  const drawn = join(root, "build", "picture-annotated.jpg");
  await run(join(root, "build", "bucktail"), [
    ..."measure --what shop-head --rivet 4 --card-scale 1.002,0.999 --card-thickness 0.25".split(
      " ",
    ),
    "--annotate",
    drawn,
    join(root, "server/demo/photos/aft-left.jpg"),
  ]);
  await framed(page, drawn, "jpeg", 1200, 760);
  await shot(page, "annotated");
});

/** Shows a picture's upper part, as wide as the view. */
async function framed(
  page: Page,
  file: string,
  type: string,
  most: number,
  height: number,
): Promise<void> {
  const data = (await readFile(file)).toString("base64");
  await page.setContent(
    `<style>body{margin:0}img{display:block}</style><img src="data:image/${type};base64,${data}">`,
  );
  const size = await page
    .locator("img")
    .evaluate((i: HTMLImageElement) => ({ w: i.naturalWidth, h: i.naturalHeight }));
  await page.setViewportSize({
    width: Math.min(size.w, most),
    height: Math.min(size.h, height),
  });
}
