import { expect, test, type BrowserContext, type Page } from "@playwright/test";
import { violations } from "./axe";
import { root } from "./goside";
import { entered, gauge, keep, pieces, seen, waiting } from "./inspected";
import { Laptop } from "./laptop";
import {
  button,
  drawingLimits,
  invites,
  named,
  onPhone,
  saves,
  setUp,
  small,
  snaps,
  there,
  visit,
} from "./workshop";

// The inspector's work, from the invitation to a sign-off that is outdated: on a device of the
// inspector's own, out of the laptop's reach, and on paper. Three rivets of the photo are measured;
// one is out and kept with a reason, one is within by a gauge, of one the height was not read. By the
// drawing's limits, less strict than the published ones, edges and pitches are within.

test.use({ serviceWorkers: "allow" });
let laptop: Laptop;
test.beforeAll(async () => {
  laptop = await Laptop.start();
});
test.afterAll(async () => laptop.end());

const written = root + "testdata/photos/dev-03.jpg";

async function measure(page: Page, part: string): Promise<void> {
  await snaps(page, part);
  await named(page);
  await saves(page, part);
}

async function place(page: Page, part: string, tag: string): Promise<string> {
  await visit(page, part);
  return (
    laptop.url +
    (await page.locator("a.row[href^='/location/']").filter({ hasText: tag }).getAttribute("href"))!
  );
}

/** All that waits here goes to the laptop, and what is there comes. */
async function sync(page: Page): Promise<void> {
  await visit(page, "/unsent");
  await expect(page.getByRole("heading", { name: "Everything is sent" })).toBeVisible({
    timeout: 30_000,
  });
  await button(page, "Try now").click();
  await expect(page.locator(".doing p")).toHaveCount(0);
  await expect(page.getByRole("heading", { name: "Everything is sent" })).toBeVisible();
}

let builder: BrowserContext, inspector: BrowserContext, b: Page, q: Page, part: string;
const errors: string[] = [],
  fetched: string[] = [];

test.describe.serial("the inspector", () => {
  test.beforeAll(async ({ browser }) => {
    test.setTimeout(120_000);
    [builder, inspector] = await Promise.all([browser.newContext(), browser.newContext()]);
    [b, q] = await Promise.all([builder.newPage(), inspector.newPage()]);
    for (const p of [b, q]) p.on("pageerror", (e) => errors.push(e.message));
    q.on("request", (r) => {
      if (r.url().includes("/preview?")) fetched.push(r.url());
    });
    part = await setUp(b, laptop);
    await drawingLimits(b, part, [
      ["edge distance", "8.5"],
      ["pitch", "12.5"],
    ]);
    await measure(b, part);
    await keep(b, await place(b, part, "R1"), "letter 12 of the designer allows 7 mm");
    await gauge(b, await place(b, part, "R3"));
    await sync(b);
  });
  test.afterAll(async () => {
    await builder.close();
    await inspector.close();
    expect(errors).toEqual([]);
  });

  test("joins by the laptop's code, and the app opens at what waits, with the photo and its dimensions", async () => {
    await q.goto(laptop.url + "/join");
    await q.getByLabel("Code").fill(await invites(b, "inspector"));
    await q.getByLabel(/list of devices/).fill("Inspector's tablet");
    await button(q, "Join").click();
    await expect(q.getByText("As an inspector", { exact: false })).toBeVisible();
    await q.getByRole("link", { name: "Open Bucktail" }).click();
    await q.waitForURL("**/inspect");
    await expect(waiting(q)).toHaveText("3");
    // The worst first: what is out and kept, with the reason.
    await expect(q.locator(".stepper h2")).toContainText(/^R1, Corner gusset, left1 of 3/);
    await expect(q.getByText("letter 12 of the designer allows 7 mm")).toBeVisible();
    await expect(q.getByText(/^Limit: /)).toBeVisible();
    await expect.poll(() => seen(q)).toBe(true);
    expect(await q.locator(".photo svg .line").count()).toBeGreaterThan(3);
    await expect(q.locator(".photo .dimtext").first()).toHaveText(/\d ± 0\.\d/);
    await expect.poll(() => pieces(q)).toBe(3); // fetched ahead
  });

  test("its screens pass axe, with targets for gloves, and reflow at 200 %", async () => {
    for (const at of [
      "/inspect",
      "/inspect/list",
      "/inspect/who",
      `${part}/sign`,
      part,
      `${part}/limits`,
    ]) {
      await visit(q, at);
      await expect(q.getByText("Opening the record.")).toHaveCount(0);
      if (at === "/inspect") await expect.poll(() => seen(q)).toBe(true);
      for (const width of at === "/inspect" ? [1280, 390] : [390]) {
        await q.setViewportSize({ width, height: width === 390 ? 844 : 800 });
        expect.soft(await violations(q), `${at}, ${width}`).toEqual([]);
      }
      await q.setViewportSize({ width: 390, height: 844 });
      expect.soft(await small(q), `targets of ${at}`).toEqual([]);
      await q.setViewportSize({ width: 195, height: 422 });
      expect
        .soft(
          await q.evaluate(() => document.documentElement.scrollWidth),
          `width of ${at} at 200 %`,
        )
        .toBeLessThanOrEqual(195);
      await q.setViewportSize({ width: 390, height: 844 });
    }
  });

  test("is not offered the builder's work", async () => {
    for (const at of ["/snap", "/layout", "/edit"]) {
      await visit(q, part + at);
      await expect(q.getByRole("heading", { name: "This is for the builder" })).toBeVisible();
    }
    await visit(q, part);
    await expect(q.locator("a.row[href^='/location/']").first()).toBeVisible();
    expect(
      await q
        .locator("a[href*='/snap'], a[href$='/edit'], a[href*='/layout'], a[href='/part/new']")
        .count(),
    ).toBe(0);
    await expect(button(q, "Choose")).toHaveCount(0);
  });

  test("rejects with a reason; the builder sees it, answers, and it waits again", async () => {
    await visit(q, "/inspect");
    await q.getByRole("link", { name: "Say who decides" }).click();
    await q.getByLabel("Name of the inspector").fill("E. Salo");
    await q.getByLabel("Authorisation number").fill("0417");
    await button(q, "Continue").click();
    await q.waitForURL("**/inspect");
    await button(q, "Reject").click();
    await button(q, "Reject").press("Enter"); // hatched: it says why
    await expect(q.getByRole("status").filter({ hasText: "Give a reason." })).toBeVisible();
    await q.getByLabel("Reason, for the builder").fill("the letter is about the other side");
    await button(q, "Reject").click();
    await expect(waiting(q)).toHaveText("2");
    await expect(q.locator(".stepper h2")).toContainText(/^R2/); // the next came by itself
    await sync(q);

    await sync(b);
    await visit(b, "/work");
    await expect(b.getByRole("heading", { name: "The inspector asks" })).toBeVisible();
    await b.getByRole("link", { name: /R1/ }).click();
    await expect(b.getByText("The letter is about the other side.").first()).toBeVisible();
    await keep(b, b.url(), "letter 13 is about this side");
    await sync(b);
    await visit(b, "/work");
    await expect(b.getByRole("heading", { name: "The inspector asks" })).toHaveCount(0);
    await sync(q);
    await visit(q, "/inspect");
    await expect(waiting(q)).toHaveText("3");
    await expect(q.getByText("letter 13 is about this side")).toBeVisible();
    await button(q, "Confirm").click();
    await expect(waiting(q)).toHaveText("2");
  });

  test("out of reach: asks to measure again with the photo in sight, and all of it is sent once", async () => {
    await q.goto(laptop.url + "/inspect");
    await onPhone(q);
    await sync(q);
    const before = await there(q);
    expect(await pieces(q)).toBe(3);
    // The photo and three pieces, none of them twice.
    expect([...new Set(fetched)]).toHaveLength(4);
    expect(fetched).toHaveLength(4);
    await laptop.off();
    await inspector.setOffline(true);
    await q.close();
    q = await inspector.newPage();
    q.on("pageerror", (e) => errors.push(e.message));
    await q.goto(laptop.url);
    await q.waitForURL("**/inspect");
    await expect(q.locator(".stepper h2")).toContainText("R2");
    await expect.poll(() => seen(q)).toBe(true);
    await button(q, "Next").click();
    await expect(q.locator(".stepper h2")).toContainText("R3");
    await expect.poll(() => seen(q)).toBe(true);
    await button(q, "Measure again").click();
    await q.getByLabel("Reason, for the builder").fill("burr at the edge");
    await button(q, "Measure again").click();
    await expect(waiting(q)).toHaveText("1");
    await visit(q, "/unsent");
    await expect(q.locator("main .row b")).toHaveText(["Inspector"]); // what waits, by its name
    await laptop.on();
    await inspector.setOffline(false);
    await sync(q);
    const after = await there(q);
    expect(after).toMatchObject({
      decision: before["decision"]! + 1,
      entries: before["entries"]! + 1,
      faults: 0,
    });
    await button(q, "Try now").click();
    await sync(q);
    expect(await there(q)).toEqual(after);
  });

  test("measured again it waits again; what is within is ticked and confirmed together", async () => {
    await sync(b);
    const r3 = await place(b, part, "R3");
    await visit(b, new URL(r3).pathname);
    await expect(b.getByText("Burr at the edge.").first()).toBeVisible();
    await gauge(b, r3);
    await sync(b);
    await sync(q);
    await visit(q, "/inspect/list");
    await expect(q.getByRole("checkbox")).toHaveCount(2);
    const decisions = (await there(q))["decision"]!;
    await button(q, "Tick all within").click();
    await expect(button(q, "Confirm 1")).toBeVisible();
    await expect(q.getByRole("checkbox", { name: "Tick R3, within", exact: true })).toBeChecked();
    // What was not all read is no part of it, and never confirmed without saying so.
    const unread = q.getByRole("checkbox", { name: "Tick R2, within, 1 not read" });
    await expect(unread).not.toBeChecked();
    await button(q, "Tick those not all read").click();
    await expect(unread).toBeChecked();
    await button(q, "Confirm 2").click();
    await expect(q.getByRole("heading", { name: "Confirm 2 findings" })).toBeVisible();
    await expect(q.getByText("Some of these were not all read.")).toBeVisible();
    await expect(q.locator(".tags b")).toHaveText(["R3"]);
    await expect(q.locator("li .row")).toHaveText(
      /R2\s*within, 1 not read\s*not read: head height/,
    );
    expect((await there(q))["decision"]).toBe(decisions);
    await button(q, "Confirm 2").click();
    await expect(q.getByRole("heading", { name: "Nothing waits for a decision" })).toBeVisible();
    await sync(q);
    expect((await there(q))["decision"]).toBe(decisions + 2);
  });

  test("signs the part, warned of what is open; a later change shows the sign-off as outdated", async () => {
    await visit(q, `${part}/sign`);
    await expect(q.locator(".caution li")).toHaveText([
      "Out: R1",
      "Never measured: R4",
      "Not read (head height): R1, R2",
      "Not everything looked at: R1, R2, R3",
      "Hole never measured under the rivet that stands: R1, R2, R3",
      "Times that are to be asked about: R1, R2, R3", // the photo is older than the project
      /^No photo of the whole part: /,
    ]);
    await button(q, "Sign off").click();
    await expect(q.getByText("covers everything so far")).toBeVisible();
    await button(q, "Sign off").press("Enter"); // the same again: it says why not
    await expect(
      q.getByRole("status").filter({ hasText: "E. Salo has signed exactly these entries." }),
    ).toBeVisible();
    await expect(q.getByText("covers everything so far")).toHaveCount(1);
    await visit(q, part);
    await expect(q.getByText(/Signed off by E\. Salo/)).toBeVisible();
    await sync(q);
    await sync(b);
    await visit(b, new URL(await place(b, part, "R2")).pathname + "/note");
    await b.getByLabel("Text").fill("scratched beside it");
    await button(b, "Save").click();
    await expect(b.getByText("Note saved on this phone.")).toBeVisible();
    for (const page of [b, q]) {
      await sync(page);
      await visit(page, part);
      await expect(page.getByText(/Sign-off outdated: 1 entry since/)).toBeVisible();
      await visit(page, `${part}/sign`);
      await expect(page.getByText(/Sign-off outdated: 1 entry since/)).toBeVisible();
      await visit(page, "/parts");
      await expect(page.getByText("sign-off outdated")).toBeVisible();
    }
  });

  test("on paper: one page for decisions and sign-off, and it is not taken over for another inspector", async () => {
    // A page that is older than the findings would decide nothing about them.
    const today = new Date(),
      date = today.toISOString().slice(0, 10),
      inWords = today.toLocaleDateString("en-GB", {
        day: "numeric",
        month: "long",
        year: "numeric",
        timeZone: "UTC",
      });
    for (const tag of ["R2", "R3"]) await gauge(b, await place(b, part, tag));
    await visit(b, "/inspect");
    await b.getByRole("link", { name: "Enter from paper" }).click();
    await b.getByLabel("Name of the inspector").fill("A. Brandt");
    await b.getByLabel("Authorisation number").fill("22-118");
    await button(b, "Continue").press("Enter");
    await expect(
      b.getByRole("status").filter({ hasText: "Add the photo of the page." }),
    ).toBeVisible();
    await b.locator("input[type=file]").last().setInputFiles(written);
    await b.getByLabel("Date on the page").fill(date);
    await expect(b.getByText("Add the photo of the page.")).toHaveCount(0); // it is there now
    await b.getByLabel("Page number").fill("4");
    await button(b, "Continue").click();
    await button(b, "Confirm").click();
    await expect(b.locator(".stepper h2")).toContainText("R3");
    await button(b, "Confirm").click();
    await expect(b.getByRole("heading", { name: "Nothing waits for a decision" })).toBeVisible();
    await visit(b, `${part}/sign`);
    await expect(b.getByText(`on paper, page 4 of ${inWords}`)).toBeVisible();
    await button(b, "Sign off").click();
    await expect(b.getByText("covers everything so far")).toBeVisible();
    await sync(b);
    const [photos, said] = await entered(b);
    expect(photos).toEqual([2, 0]); // the shot and the page
    expect(said.map((d) => [d.name, d.number, d.on_paper?.date, d.on_paper?.page])).toEqual(
      Array(3).fill(["A. Brandt", "22-118", date, "4"]),
    );
    expect(new Set(said.map((d) => d.on_paper?.photo)).size).toBe(1);
    await visit(b, "/inspect/who");
    await b.getByLabel("Name of the inspector").fill("E. Salo");
    await expect(b.getByLabel("Authorisation number")).toHaveValue("");
    await button(b, "Continue").press("Enter");
    await expect(
      b.getByRole("status").filter({ hasText: "Add the photo of the page." }),
    ).toBeVisible();
  });

  test("joins by the app's own screen too", async ({ browser }) => {
    const other = await browser.newContext(),
      page = await other.newPage();
    await page.goto(laptop.url + "/pair");
    await page.getByLabel("Code").fill(await invites(b, "inspector"));
    await button(page, "Pair").click();
    await page.waitForURL("**/inspect");
    await expect(page.getByRole("heading", { name: "Nothing waits for a decision" })).toBeVisible();
    await other.close();
  });
});
