import { expect, type Page } from "@playwright/test";
import { violations } from "./axe";
import { test } from "./shop";
import { begins, button, drawingLimits, named, saves, snaps, visit } from "./workshop";

// A location of which a limit has no reading is never called within: no photo shows a head's height.
// By the drawing's limits edges and pitches of the photo's R2 and R3 are within.

const name = "Gusset, not all read";

const clean = async (page: Page, at: string): Promise<void> => {
  expect.soft(await violations(page), at).toEqual([]);
};

test("within, 1 not read: on result, part, parts, location and work list", async ({
  shop: { phone: page },
}) => {
  const part = await begins(page, name);
  await drawingLimits(page, part, [
    ["edge distance", "8.5"],
    ["pitch", "12.5"],
  ]);
  const stands = "within, 1 not read";

  await snaps(page, part);
  await named(page);
  const panel = page.getByRole("tabpanel");
  for (const tag of ["R2", "R3"])
    await expect(
      panel.getByRole("button", { name: new RegExp(`^${tag}.*${stands}`) }),
    ).toBeVisible();
  await page.getByRole("tab", { name: /R3/ }).click();
  await expect(page.getByRole("tab", { name: `${stands} R3` })).toBeVisible();
  await expect(panel.locator(".v").first()).toHaveText(stands);
  await expect(panel.getByText("Head height: measure it by hand")).toBeVisible();
  await expect(
    panel.getByText(/^min 1\.79 mm · Standard Aircraft Handbook.* · scaled from /),
  ).toBeVisible();
  await clean(page, "result");
  await saves(page, part);

  const row = page.locator("a.row[href^='/location/']").filter({ hasText: "R3" });
  await expect(row.locator(".v")).toHaveText(stands);
  await expect(page.getByRole("button", { name: `3, R3, ${stands}` })).toBeVisible(); // its pin
  await button(page, "Find").click();
  await page.getByLabel("Show").selectOption("within");
  await expect(page.getByText("No match.")).toBeVisible();
  await page.getByLabel("Show").selectOption("unread");
  await expect(page.locator("a.row[href^='/location/']")).toHaveCount(2);
  await clean(page, "part");
  const at = (await row.getAttribute("href"))!;

  await visit(page, "/parts");
  await expect(page.locator(".cells > div")).toHaveText([
    /within\s*0/,
    /not all read\s*2/,
    /can.t tell\s*0/,
    /out\s*1/,
    /open\s*1/,
  ]);
  await expect(page.locator("a.part")).toContainText("R2, R3 not all read");
  await expect(page.getByRole("img", { name: new RegExp(`R3 ${stands}`) })).toBeVisible();
  await clean(page, "parts");

  await visit(page, at);
  await expect(page.locator(".right > .row .v").first()).toHaveText(stands);
  await expect(page.getByText("Head height: measure it by hand")).toBeVisible();
  // What is missing is what is usually done next.
  await expect(
    page.getByRole("navigation").getByRole("link", { name: "Enter a hand reading" }),
  ).toBeVisible();
  await clean(page, "location");
  await page.getByRole("link", { name: "Decide what to do" }).click();
  await page.getByRole("radio", { name: "Measure again" }).check();
  await button(page, "Save").click();
  await page.waitForURL("**" + at);

  await visit(page, "/work");
  const waits = page.getByRole("link", { name: `R3 ${name}` });
  await expect(waits).toContainText(stands);

  await waits.click();
  await page.getByLabel("Instrument").fill("calipers 150 mm");
  await page.getByLabel("What was measured").selectOption("head_height");
  await page.getByLabel("Value").fill("2.4");
  await expect(page.locator(".then .v")).toHaveText("within");
  await clean(page, "gauge");
  await button(page, "Save").click();
  await page.waitForURL((u) => !u.pathname.endsWith("/gauge"));
  await visit(page, at);
  await expect(page.locator(".right > .row .v").first()).toHaveText("within");
  await visit(page, "/parts");
  await expect(page.locator("a.part")).toContainText("R2 not all read");
});
