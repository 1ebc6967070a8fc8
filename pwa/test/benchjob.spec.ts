import { expect, type Page } from "@playwright/test";
import { readFileSync } from "node:fs";
import { fill, frame } from "./benchwork";
import { root } from "./goside";
import { test } from "./shop";
import { button, small, there, unsent, visit } from "./workshop";

// From the first pilot hole to the mirrored twin: what is prepared, filed, tried, ordered and made alike.

const picture = async (page: Page, name: string): Promise<void> => {
  expect(await small(page)).toEqual([]);
  if (process.env["SHOTS"]) await page.screenshot({ path: `${process.env["SHOTS"]}/${name}.png` });
};

const stage = async (page: Page, what: string, act: string): Promise<void> => {
  await page.getByLabel("They are now").selectOption(what);
  await button(page, "All that may").click();
  await button(page, act).click();
  await expect(
    page.getByText(new RegExp(`^${act.replace(/ × .*/, "")} (locations|holes) are ${what}\\.$`)),
  ).toBeVisible();
};

test("a gusset is laid out over a skin, drilled, prepared, ordered, and its other hand made", async ({
  shop: { phone: page },
}) => {
  const part = await frame(page);
  await expect(unsent(page)).toHaveText("0");
  const { photos } = await there(page);
  await visit(page, part + "/lay");
  await page.getByRole("radio", { name: "flat strip" }).check();
  await fill(page, { Width: "25", Length: "80", Sheet: "1" });
  await button(page, "Add a sheet").click();
  await fill(page, { Name: "skin", "Edge across, far": "20" });
  await button(page, /^Make R1 to R/).click();
  await page.waitForURL("**" + part);
  await expect(page.locator("a.row[href^='/location/']").first()).toBeVisible();
  const n = await page.locator("a.row[href^='/location/']").count();
  expect(n).toBeGreaterThan(2);

  // Drilled up and prepared by sweeps, in the order of the work.
  await visit(page, part + "/stages");
  await expect(page.getByText(/for the #40, 2\.49 mm hole: R1, R/)).toBeVisible();
  await stage(page, "pilot hole", `${n} × pilot hole`);
  await stage(page, "final hole", `${n} × final hole`);
  await page.getByLabel("They are now").selectOption("refitted");
  await expect(button(page, "All that may")).toHaveAttribute("aria-disabled", "true");
  await page.getByLabel("They are now").selectOption("deburred");
  await page.getByText("Blind side not reachable").click();
  await picture(page, "stages");
  await stage(page, "deburred", `${n} × deburred`);
  await stage(page, "cleaned", `${n} × cleaned`);
  await expect.poll(() => there(page, true)).toMatchObject({ stage: 4 * n, faults: 0 });

  // Each layer has an edge; a filed one is entered at the holes near it.
  await visit(page, part + "/edges");
  await expect(page.getByText("as laid out, not measured").first()).toBeVisible();
  await expect(
    page.locator(".bounds .at", { hasText: "sheet on the photo" }).first(),
  ).toContainText("not judged");
  await fill(page, { "Which edge": "lower edge" });
  await page.getByLabel("Of which layer").selectOption("skin");
  await page.getByRole("group", { name: "Nearest holes" }).getByText("R1", { exact: true }).click();
  await picture(page, "edges");
  await button(page, "Filed, 1 hole").click();
  await expect.poll(() => there(page, true)).toMatchObject({ filed: 1, faults: 0 });

  // What is prepared, protected and tried.
  await visit(page, part + "/prep");
  await button(page, "Take the proposed list").click();
  await page.getByText("corners rounded").click();
  await page.locator(".stack details summary").first().click();
  await page
    .locator(".stack details input[type=file]")
    .first()
    .setInputFiles(root + "server/demo/photos/angle-left.jpg");
  await expect(page.getByText("with a photo").first()).toBeVisible();
  await button(page, "Add primer or sealant").click();
  await fill(page, { Name: "two-part epoxy", Batch: "L 4471" });
  await picture(page, "prep");
  await button(page, "Save the list").click();
  await page.getByText("New coupon").click();
  await fill(page, { "Lot of the rivets": "7714" });
  await button(page, "Save the coupon").click();
  await expect
    .poll(() => there(page, true))
    .toMatchObject({ preparation: 1, coupon: 1, photos: photos! + 1, missing: 0, faults: 0 });
  await page.reload();
  await expect(page.getByLabel("corners rounded")).toBeChecked();

  await visit(page, part + "/order");
  await expect(page.getByText("from the middle outwards")).toBeVisible();
  const first = await page.locator("ol.rows .what").first().innerText();
  await page.locator("ol.rows button").first().click();
  expect(await page.locator("ol.rows .what").nth(1).innerText()).toContain(first.slice(3));
  await fill(page, { "Measure the shape after each": "2", "Whose order": "drawing 7, note 3" });
  await picture(page, "order");
  await button(page, "Pin this order").click();
  await expect(page.getByText("Pinned: drawing 7, note 3.")).toBeVisible();

  // The numbers on paper.
  await visit(page, part + "/prep");
  await page.getByRole("link", { name: "Print for the bench" }).click();
  const [file] = await Promise.all([
    page.waitForEvent("download", { timeout: 60_000 }),
    button(page, /^Numbers for the bench/).click(),
  ]);
  expect(
    readFileSync(await file.path())
      .subarray(0, 5)
      .toString(),
  ).toBe("%PDF-");

  // The other hand.
  await visit(page, part + "/like");
  await fill(page, { Name: "Hatch frame, other hand" });
  await button(page, "Make the part").click();
  await page.waitForURL((u) => u.pathname.startsWith("/part/") && !u.pathname.startsWith(part));
  await expect(page.locator("a.row[href^='/location/']")).toHaveCount(n);
  await visit(page, new URL(page.url()).pathname + "/like");
  await expect(page.getByText("First article: Baggage-hatch frame, angle")).toBeVisible();
  await expect(page.locator("table.figs tbody tr")).toHaveCount(n);
  await picture(page, "like");
  await expect.poll(() => there(page, true)).toMatchObject({ part: 2, faults: 0 });
});

test("a hole's pins and a layer's edge are typed; a stray hole is a neighbour", async ({
  shop: { phone: page },
}) => {
  const part = await frame(page);
  await visit(page, part + "/lay");
  await page.getByRole("radio", { name: "flat strip" }).check();
  await fill(page, { Width: "25", Length: "80", Sheet: "1" });
  await button(page, /^Make R1 to R/).click();
  await page.waitForURL("**" + part);
  await page.locator("a.row[href^='/location/']").first().click();
  await page.waitForURL("**/location/*");
  const at = page.url();
  await visit(page, new URL(at).pathname + "/edit");
  await page.getByText("A stray hole").click();
  await picture(page, "stray");
  await button(page, "Save").click();
  await page.waitForURL(at);

  await visit(page, part);
  await page.locator("a.row[href^='/location/']").nth(1).click();
  await page.waitForURL("**/location/*");
  await visit(page, new URL(page.url()).pathname + "/gauge");
  await fill(page, { Instrument: "calipers" });
  await page.getByLabel("What was measured").selectOption("edge_distance");
  await page.getByLabel("In which layer").selectOption({ label: "another layer" });
  await fill(page, { "Name of the layer": "tube", Value: "5", "How sure are you, ±": "0.1" });
  await expect(page.getByText(/5\.00 ± 0\.10/).first()).toBeVisible();
  await picture(page, "gauge");
  await button(page, "Save").click();
  await page.waitForURL("**/location/*");
  await expect(page.getByText("Edge distance in the tube").first()).toBeVisible();
});
