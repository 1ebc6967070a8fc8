// A newcomer's first ten minutes, screen by screen: from what the terminal says to the first rivets
// that are judged. No test: make newcomer writes the pictures and the page that shows them.
import { expect, test, type Browser, type Page } from "@playwright/test";
import { mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { root } from "./goside";
import { Laptop } from "./laptop";
import { cameraOf, keeps } from "./taken";
import { button, FASTENERS, invites, named } from "./workshop";

const to = join(root, "testdata/pictures/newcomer");

let laptop: Laptop;
test.beforeAll(async () => {
  rmSync(to, { recursive: true, force: true });
  mkdirSync(to, { recursive: true });
  laptop = await Laptop.withDoors();
});
test.afterAll(async () => laptop.end());

test.use({
  actionTimeout: 30_000,
  navigationTimeout: 60_000,
  permissions: ["camera"],
  launchOptions: cameraOf(root + "testdata/photos/dev-08.jpg"),
});

/** What was taken, in order: file and what it shows. */
const taken: [file: string, says: string][] = [];

async function shot(page: Page, name: string, says: string): Promise<void> {
  const file = `${String(taken.length + 1).padStart(2, "0")}-${name}.jpg`;
  await expect(page.getByText("Opening the record.")).toHaveCount(0);
  await keeps(page, join(to, file), 75);
  taken.push([file, says]);
}

/** The laptop: its terminal, then its browser. Gives a code for the phone. */
async function atTheLaptop(browser: Browser): Promise<string> {
  const page = await browser.newPage({ viewport: { width: 1100, height: 800 }, locale: "en-GB" });
  const text = laptop.said.replaceAll("&", "&amp;").replaceAll("<", "&lt;");
  await page.setContent(
    `<style>body{margin:0;background:#111;color:#ddd}pre{margin:16px;font:15px/17px monospace}</style><pre>$ make run\n${text}</pre>`,
  );
  await page.setViewportSize({
    width: 900,
    height: await page.evaluate(() => document.documentElement.scrollHeight),
  });
  await shot(page, "terminal", "The terminal says how to get in, at the laptop and by phone.");
  await page.setViewportSize({ width: 1100, height: 800 });
  await page.goto(laptop.link);
  await shot(page, "link", "The link of this computer lets its browser in.");
  await button(page, "Join").click();
  await page.getByRole("link", { name: "Pair a phone, or start" }).click();
  await page.waitForURL("**/laptop");
  await expect(page.getByRole("heading", { name: "Pair a phone" })).toBeVisible();
  await shot(page, "laptop", "From here the laptop's browser goes on, or lets a phone in.");
  const code = await invites(page, "builder");
  await page.close();
  return code;
}

test("a newcomer's first ten minutes", async ({ browser, page }) => {
  test.setTimeout(600_000);
  const code = await atTheLaptop(browser);

  const trust = /http:\/\/\S+?:(\d+)\/ or/.exec(laptop.said)![1]!;
  await page.goto(`http://127.0.0.1:${trust}/`);
  await shot(page, "trust", "The trust code's page, on the phone: once for each phone.");

  await page.goto(laptop.url + "/pair");
  await page.getByLabel("Code").fill(code);
  await page.getByLabel("Name of this phone").fill("Bench phone");
  await page.getByLabel("Your name").fill("Ines Sorel");
  await shot(page, "join", "The join code lets the phone into the record.");
  await button(page, "Pair").click();
  await page.waitForURL("**/start");
  await expect(page.getByRole("link", { name: "Name the project" }).first()).toBeVisible();
  await shot(page, "start", "What comes first is named, and the way there stands at the bottom.");

  await page.getByRole("link", { name: "Name the project" }).first().click();
  await page.getByLabel("Name", { exact: true }).fill("Tarn 2");
  await page.getByLabel("Aircraft", { exact: true }).fill("two-seat amphibian");
  await shot(page, "project", "The project.");
  await button(page, "Create the project").click();
  await page.waitForURL("**/start");

  await page.goto(laptop.url + "/cards/new");
  await page.getByLabel("Line across").fill("149.55");
  await page.getByLabel("Line along").fill("149.62");
  await page.getByLabel("Thickness, with backing").fill("0.255");
  await shot(page, "card", "What calipers measured on the printed card's check lines.");
  await button(page, "Save").click();
  await page.waitForURL("**/cards");
  await expect(page.getByText("in use", { exact: true })).toBeVisible();

  await page.goto(laptop.url + "/part/new");
  await page.getByLabel("Name", { exact: true }).fill("Corner gusset, left");
  await page.getByLabel("Drawing reference").fill("HF-12 sheet 2");
  await page.getByLabel("Size").fill("-6");
  await expect(page.getByText(/^D 4\.76/)).toBeVisible();
  await shot(page, "part", "A part and its rivet.");
  await button(page, "Add the part").click();
  await page.waitForURL("**/part/*/layout");

  await page.getByRole("radio", { name: "row" }).check();
  await page.getByLabel("How many").first().fill(String(FASTENERS));
  const picture = page.locator(".layout svg").first();
  const box = (await picture.boundingBox())!;
  for (const x of [0.2, 0.8])
    await picture.click({ position: { x: box.width * x, y: box.height / 2 } });
  await shot(page, "layout", "Where its rivets stand: a row of them, by two taps.");
  await button(page, `Add ${FASTENERS} locations`).click();
  await page.waitForURL(/\/part\/[^/]+$/);
  await expect(page.locator("a.row[href^='/location/']")).toHaveCount(FASTENERS);
  await shot(page, "empty", "The part, nothing measured yet.");

  await page.getByRole("link", { name: "Snap" }).click();
  await page.waitForURL("**/snap");
  await expect(page.locator(".guides")).toContainText(/1\d°/); // it is the photo, tilted by 15°
  await shot(page, "aim", "The live view says what to do with the hand.");
  await button(page, "Take the photo").click();
  await page.waitForURL("**/photo/*");
  await expect(page.getByRole("tab").nth(1)).toBeVisible({ timeout: 90_000 });
  await shot(page, "asked", "What was found. Which rivet of the part each is, the builder says.");
  await named(page);
  await expect(page.locator("main svg").getByText("A?")).toHaveCount(0); // drawn with its name
  await shot(page, "result", "The readings with their uncertainty, their limits and verdicts.");
  await button(page, "Save").click();
  await page.waitForURL("**/snap?next=*");
  await page.locator(".tb .back").click();
  await page.waitForURL(/\/part\/[^/]+$/);
  await shot(page, "measured", "The part now.");
  await page.locator("a.row[href^='/location/']").first().click();
  await page.waitForURL("**/location/*");
  await expect(page.getByText(/±/).first()).toBeVisible();
  await shot(page, "rivet", "One rivet, with what settles it.");
  await page.goto(laptop.url + "/work");
  await shot(page, "work", "What waits.");

  writeFileSync(
    join(to, "README.md"),
    "# A newcomer's first ten minutes\n\nWritten by `make newcomer` from the program itself; the photo is `testdata/photos/dev-08.jpg`.\n\n" +
      taken.map(([file, says], i) => `${i + 1}. ${says}\n\n   ![${says}](${file})\n`).join("\n"),
  );
  expect(readFileSync(join(to, "README.md"), "utf8")).toContain("work");
});
