import { expect } from "@playwright/test";
import { readFileSync } from "node:fs";
import { fill, frame, twists } from "./benchwork";
import { test } from "./shop";
import { button, small, there, visit } from "./workshop";

// The bench's helpers through the screens: a leg is laid out, its template is made, its marks become
// locations; which tool has room is judged on a mark.

test("a leg is laid out, printed and becomes locations; a tool's room is judged on its marks", async ({
  shop: { phone: page },
}) => {
  const part = await frame(page);

  await visit(page, "/tools");
  await fill(page, {
    Name: "hand puller",
    "Nose, width": "12",
    "Nose, length": "30",
    "Body from the nose's axis": "19",
  });
  await expect(button(page, "Save the tool")).not.toHaveAttribute("aria-disabled", "true");
  await button(page, "Save the tool").click();
  await expect(page.getByText("nose 12.00 mm wide, 30.00 mm long")).toBeVisible();

  await visit(page, part + "/lay");
  await fill(page, {
    "Width of the leg": "25",
    Length: "80",
    Sheet: "1.6",
    "Inside radius": "3",
    "Standing leg": "25",
    "From each end": "8",
  });
  await page.getByLabel("Tool", { exact: true }).selectOption("hand puller");
  await page.getByLabel("Room about it").fill("1");
  await expect(page.getByText("4 rivets, pitch 21.33")).toBeVisible();
  await expect(page.getByText("band 6.35 mm wide")).toBeVisible();
  await expect(page.getByText("free edge, not over 4 D, binds")).toBeVisible();
  await expect(page.getByText(/without the advice 11\.60 to 18\.65/)).toBeVisible();
  expect(await small(page)).toEqual([]);

  // A leg too narrow says what cures it, and offers neither a page nor locations.
  await fill(page, { "Width of the leg": "15" });
  await expect(page.getByText("No band", { exact: true })).toBeVisible();
  await expect(page.getByText("a leg at least 17.95 mm wide")).toBeVisible();
  await expect(button(page, "1:1 template")).toHaveAttribute("aria-disabled", "true");
  for (const [width, says] of [
    ["3", "is no wider than the rivet"],
    ["0", "can't be laid out"],
    ["-4", "is negative"],
    ["wide", "is no length"],
  ] as const) {
    await fill(page, { "Width of the leg": width });
    await expect(page.getByText(says)).toBeVisible();
  }
  await fill(page, { "Width of the leg": "25" });
  await expect(page.getByText("4 rivets, pitch 21.33")).toBeVisible();

  const [download] = await Promise.all([
    page.waitForEvent("download", { timeout: 60_000 }),
    button(page, "1:1 template").click(),
  ]);
  expect(
    readFileSync(await download.path())
      .subarray(0, 5)
      .toString(),
  ).toBe("%PDF-");

  await button(page, "Make R1 to R4").click();
  await page.waitForURL("**" + part);
  await expect(page.locator("a.row[href^='/location/']")).toHaveCount(4);
  await expect(page.locator(".pin")).toHaveCount(4);
  const at = await page
    .locator(".pin")
    .evaluateAll((ps) => ps.map((p) => Number(/\((\S+) /.exec(p.getAttribute("transform")!)![1])));
  expect((at[1]! - at[0]!) / (at[3]! - at[0]!)).toBeCloseTo(1 / 3, 3);
  await expect
    .poll(() => there(page, true))
    .toMatchObject({ location: 4, layout: 1, tool: 1, faults: 0 });

  // Opened again, the plan is still there; its pins keep it from being made twice.
  await page.reload();
  await visit(page, part + "/lay");
  await expect(page.getByText("4 rivets, pitch 21.33")).toBeVisible();
  await expect(button(page, /^Make R5/)).toHaveAttribute("aria-disabled", "true");

  // Drilled up by one sweep; what is a pilot hole already is not offered again.
  await visit(page, part + "/stages");
  await expect(page.getByText("Pilot hole: #40")).toBeVisible();
  await expect(page.getByText(/rim to the edge: at least 5\.11 mm/)).toBeVisible();
  await button(page, "All that may").click();
  await button(page, "4 × pilot hole").click();
  await expect.poll(() => there(page, true)).toMatchObject({ stage: 4, faults: 0 });
  await expect(button(page, "All that may")).toHaveAttribute("aria-disabled", "true");
  await expect(page.getByText("No location may come to this stage now.").first()).toBeVisible();

  await visit(page, part + "/room");
  await fill(page, { "Hole to the leg": "15.5" });
  await expect(page.getByText("body past the leg")).toHaveCount(0); // the nose is longer than the leg is tall
  await expect(page.locator(".head .v.within")).toBeVisible();
  await fill(page, { "Hole to the leg": "9" });
  await expect(page.locator(".head .v.out")).toBeVisible();
  await button(page, "Keep as a note").click();
  await expect.poll(() => there(page, true)).toMatchObject({ note: 1 });
});

test("an angle is bent, a rivet chosen, the frame's twist measured until it is released", async ({
  shop: { phone: page },
}) => {
  const part = await frame(page);

  await visit(page, part + "/bend");
  await fill(page, {
    Sheet: "1.6",
    "Inside radius": "3",
    "First leg, outside": "25",
    "Second leg, outside": "25",
    "Length of the bend": "80",
  });
  await expect(page.getByText("Flat width 46.63 mm")).toBeVisible();
  await expect(page.getByText("formulas differ by 0.17 mm")).toBeVisible();
  for (const [alloy, says] of [
    ["6061-T6", "ask the designer"],
    ["5052-H32", "good"],
    ["2024-T3", "too sharp"],
  ] as const) {
    await page.getByLabel("Alloy and temper").selectOption(alloy);
    await expect(page.locator(".answer .v")).toHaveText(says);
  }
  const [pattern] = await Promise.all([
    page.waitForEvent("download", { timeout: 60_000 }),
    button(page, "1:1 pattern").click(),
  ]);
  expect(
    readFileSync(await pattern.path())
      .subarray(0, 5)
      .toString(),
  ).toBe("%PDF-");

  await visit(page, part + "/rivet");
  await fill(page, { "Thickness 1": "0.032 in", "Thickness 2": "0.063 in" });
  await expect(page.locator(".answer b")).toHaveText("number 42");
  await expect(page.getByText("#40, then #30")).toBeVisible();
  await fill(page, { "Thickness 1": "1.6", "Thickness 2": "1.6" });
  await expect(page.getByText(/lies in the gap between two rows/)).toBeVisible();
  await expect(page.locator(".answer b")).toHaveText("No rivet named");

  await visit(page, part + "/shape");
  await twists(page, { imposed: "10", released: "6.2" });
  await expect(page.getByText("−6.20 ± 0.45 mm")).toBeVisible();
  await expect(page.getByText("−0.59 ± 0.04 deg")).toBeVisible();
  const trend = page.locator("figure svg");
  await expect(trend.locator("text")).toHaveCount(2);
  const cut = (): Promise<(string | null)[]> =>
    trend.evaluate((svg) => {
      const room = svg.getBoundingClientRect();
      return [...svg.querySelectorAll("text")]
        .filter((t) => {
          const b = t.getBoundingClientRect();
          return b.left < room.left || b.right > room.right;
        })
        .map((t) => t.textContent);
    });
  for (const width of [320, 390]) {
    await page.setViewportSize({ width, height: 844 });
    expect(await cut()).toEqual([]);
    await trend.scrollIntoViewIfNeeded();
    await page.screenshot({ path: `test-results/trend-${width}.png` });
  }
  await expect(page.locator(".v.out")).toBeVisible();
  await button(page, "Spacers").click();
  await fill(page, { "Spacer 1": "-10" });
  await expect(page.getByText("impose −12.90 ± 1.09 mm")).toBeVisible();
  await expect(page.getByText(/kept share 0\.620 ± 0\.05/)).toBeVisible();

  // It waits on the work list, stands on the part, and a signature would not settle it.
  await visit(page, "/work");
  await expect(page.getByText("twist of the hatch frame")).toBeVisible();
  await visit(page, part);
  await expect(page.locator("a.row[href$='/shape']").first()).toContainText("−6.20 ± 0.45 mm");
  await visit(page, part + "/sign");
  await expect(page.getByText("twist of the hatch frame: out")).toBeVisible();
});
