import { expect, test, type Page } from "@playwright/test";
import { Laptop } from "./laptop";
import { button, pairs, turn, visit } from "./workshop";

// No screen is a dead end: where something comes first it is named, and the way there is offered.

let laptop: Laptop;
test.beforeAll(async () => {
  laptop = await Laptop.start();
});
test.afterAll(async () => laptop.end());

const none = "018f0000-0000-7000-8000-000000000000";
const addresses = [
  "/start /parts /snap /work /photos /unsent /settings /exports /inspect /inspect/list /inspect/who",
  "/cards /cards/new /tools /project/new /part/new",
  ...["part", "location"].map((x) => `/${x}/${none}`),
  ...["layout", "limits", "edit", "history", "notes", "sign", "more", "snap"].map(
    (x) => `/part/${none}/${x}`,
  ),
  ...["lay", "room", "stages", "bend", "rivet", "shape"].map((x) => `/part/${none}/${x}`),
  ...["rework", "gauge", "decide", "edit", "attempt", "note"].map((x) => `/location/${none}/${x}`),
  `/photo/${none} /project/${none}`,
].flatMap((x) => x.split(" "));

/** What is a dead end: a screen that waits for ever, shows what only a programmer reads, or offers no way on. */
async function deadEnds(page: Page, from: number): Promise<string[]> {
  const bad: string[] = [];
  for (const [i, at] of addresses.entries()) {
    // Some are opened, as from a link in a message; most are come to within the app.
    if (i % 14 === from) await page.goto(laptop.url + at);
    else await turn(page, at);
    await expect(page.locator("main")).toBeVisible();
    const waits = page.getByText("Opening the record.");
    await waits
      .waitFor({ state: "detached", timeout: 4000 })
      .catch(() => bad.push(`${at} waits for ever`));
    const text = await page.locator("main").innerText();
    if (/Something is wrong in the app|there is no (part|location)/i.test(text))
      bad.push(`${at}: ${text}`);
    if (
      (await page.locator("nav.strip a, nav.strip button:not([aria-disabled='true'])").count()) ===
      0
    )
      bad.push(`${at} offers nothing`);
  }
  return bad;
}

test("nothing waits for what does not exist", async ({ page }) => {
  test.setTimeout(400_000);
  await test.step("before pairing", async () => {
    expect.soft(await deadEnds(page, 0)).toEqual([]);
  });
  await test.step("before a project", async () => {
    await pairs(page, laptop, laptop.link.split("#")[1]!, "Bench phone");
    expect.soft(await deadEnds(page, 7)).toEqual([]);
    await visit(page, "/snap");
    await expect(page.locator("nav.strip .go")).toHaveText("Create the project");
  });
  await test.step("each step offers the next", async () => {
    const next = page.locator("nav.strip .go");
    await visit(page, "/parts");
    await expect(next).toHaveText("Create the project");
    await visit(page, "/part/new");
    await expect(page.getByText("A part belongs to a project")).toBeVisible();
    await next.click();
    await page.getByLabel("Name", { exact: true }).fill("Tarn 2");
    await button(page, "Create the project").click();
    await page.waitForURL("**/start");
    await expect(next).toHaveText("Print and measure a card");
    await visit(page, "/parts");
    await expect(next).toHaveText("New part");
    await visit(page, "/cards/new");
    await page.getByLabel("Line across").fill("149.55");
    await page.getByLabel("Line along").fill("149.62");
    await page.getByLabel("Thickness, with backing").fill("0.255");
    await button(page, "Save").click();
    await page.waitForURL("**/cards");
    await expect(next).toHaveText("Add a part");
    await next.click();
    await page.getByLabel("Name", { exact: true }).fill("Angle");
    await page.getByLabel("Size").fill("-6");
    await expect(page.getByText(/^D 4\.76/)).toBeVisible();
    await button(page, "Add the part").click();
    await page.waitForURL("**/part/*/layout");
    await expect(next).toHaveText("Snap");
  });
});
