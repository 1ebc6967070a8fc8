import { expect, type Page } from "@playwright/test";
import { readFileSync } from "node:fs";
import { fill, frame, twists } from "./benchwork";
import { root } from "./goside";
import { test } from "./shop";
import { button, small, there, visit } from "./workshop";

// The whole job on a phone: the gusset of the baggage-hatch frame from an empty sheet to the signed
// report, and its other hand begun.

let shots = 0;
const picture = async (page: Page, name: string): Promise<void> => {
  expect(await small(page)).toEqual([]);
  shots++;
  if (process.env["SHOTS"])
    await page.screenshot({
      path: `${process.env["SHOTS"]}/show-${String(shots).padStart(2, "0")}-${name}.png`,
    });
};

const sweep = async (page: Page, what: string, n: number): Promise<void> => {
  await page.getByLabel("They are now").selectOption(what);
  await button(page, "All that may").click();
  await button(page, `${n} × ${what}`).click();
  await expect(page.getByText(new RegExp(`^${n} (locations|holes) are ${what}`))).toBeVisible();
};

const isPDF = async (page: Page, name: string | RegExp): Promise<void> => {
  const [file] = await Promise.all([
    page.waitForEvent("download", { timeout: 60_000 }),
    button(page, name).click(),
  ]);
  expect(
    readFileSync(await file.path())
      .subarray(0, 5)
      .toString(),
  ).toBe("%PDF-");
};

test("the hatch frame's gusset from an empty sheet to the signed report", async ({
  shop: { phone: page },
}) => {
  // Where things are on a photo is asked once it stands still.
  await page.emulateMedia({ reducedMotion: "reduce" });
  const part = await frame(page);
  const at = (screen: string): Promise<void> => visit(page, part + screen);
  let places: string[] = [];

  await test.step("laid out, the template printed", async () => {
    await visit(page, "/tools");
    await fill(page, {
      Name: "hand puller",
      "Nose, width": "12",
      "Nose, length": "30",
      "Body from the nose's axis": "19",
    });
    await button(page, "Save the tool").click();
    await expect(page.getByText("nose 12.00 mm wide, 30.00 mm long")).toBeVisible();
    await at("/lay");
    await fill(page, {
      "Width of the leg": "25",
      Length: "80",
      Sheet: "1.6",
      "Inside radius": "3",
      "Standing leg": "25",
      "From each end": "8",
      "Row from the datum": "13.4",
    });
    await page.getByLabel("Tool", { exact: true }).selectOption("hand puller");
    await page.getByLabel("Room about it").fill("1");
    await expect(page.getByText("4 rivets, pitch 21.33")).toBeVisible();
    // The gusset's corner, two legs on a tube each, is laid out by the same screen.
    await page.getByRole("radio", { name: "gusset corner" }).check({ force: true });
    await fill(page, {
      "Second leg: width": "25",
      "Second leg: length": "70",
      "Tube, first leg": "25",
      "Tube, second leg": "25",
      "Its corner radius": "3",
      "Second tube begins": "25",
    });
    await expect(page.getByText(/^Leg 2: [2-9] rivets, pitch/)).toBeVisible();
    await page.getByText(/^Leg 1:/).scrollIntoViewIfNeeded();
    await picture(page, "corner");
    await page.getByRole("radio", { name: "angle's leg" }).check({ force: true });
    await expect(page.getByText("4 rivets, pitch 21.33")).toBeVisible();
    await picture(page, "laid-out");
    await isPDF(page, "1:1 template");
    await button(page, "Make R1 to R4").click();
    await page.waitForURL("**" + part);
    await expect(page.locator("a.row[href^='/location/']")).toHaveCount(4);
    places = await page
      .locator("a.row[href^='/location/']")
      .evaluateAll((all) => all.map((a) => a.getAttribute("href")!));
    await picture(page, "marked");
  });

  await test.step("grip belongs to the location: an angle lies on R4", async () => {
    await at("/rivet");
    await fill(page, { "Thickness 1": "0.032 in", "Thickness 2": "0.063 in" });
    await button(page, "All").click();
    await expect(page.locator(".answer b")).toHaveText("number 42");
    await button(page, "Keep for 4 locations").click();
    await expect(page.getByText("Kept for R1, R2, R3, R4.")).toBeVisible();
    await button(page, "Add a sheet").click();
    await fill(page, { "Thickness 3": "0.063 in" });
    await page.getByLabel("R4").check();
    // It brings its own stack with it, and the angle is added to that.
    await expect(page.getByLabel("Thickness 3", { exact: true })).toHaveCount(0);
    await button(page, "Add a sheet").click();
    await fill(page, { "Thickness 3": "0.063 in" });
    await expect(page.locator(".answer b")).toHaveText("number 43");
    await picture(page, "which-rivet");
    await button(page, "Keep for 1 location").click();
    await expect(page.getByText("Kept for R4.")).toBeVisible();
    await visit(page, part);
    const rivets = page.locator("a.row[href$='/rivet']");
    await expect(rivets.nth(0)).toContainText("number 42");
    await expect(rivets.nth(0)).toContainText("R1, R2, R3");
    await expect(rivets.nth(1)).toContainText("number 43");
    await rivets.nth(1).scrollIntoViewIfNeeded();
    await picture(page, "rivets");
  });

  await test.step("a mark too near the leg is moved while it is a mark", async () => {
    await at("/room");
    await fill(page, { "Hole to the leg": "9" });
    await expect(page.locator(".head .v.out")).toBeVisible();
    await expect(page.getByText(/while it is a mark/).first()).toBeVisible();
    await picture(page, "mark-too-near");
    await button(page, "Keep as a note").click();
    await fill(page, { "Hole to the leg": "13.4" });
    await expect(page.locator(".head .v.within")).toBeVisible();
    await visit(page, places[1] + "/edit");
    await page.locator("a[href*='?pin=']").click();
    await page.waitForURL("**/layout?pin=*");
    const drawing = page.locator(".layout svg").first();
    const box = (await drawing.boundingBox())!;
    await drawing.click({ position: { x: box.width * 0.36, y: box.height / 2 } });
    await expect.poll(async () => (await there(page, true))["location"]).toBe(10);
    await picture(page, "mark-moved");
  });

  await test.step("a mark photographed: the puller has room for the final rivet; then pilot holes", async () => {
    await at("/snap");
    await page.getByLabel("Looking at").selectOption("mark");
    await page
      .locator("input[type=file]")
      .last()
      .setInputFiles(root + "server/demo/photos/aft-right-holes.jpg");
    await page.waitForURL("**/photo/*");
    await page.getByRole("tab").nth(1).click({ timeout: 90_000 });
    await page.locator("#where-is").selectOption({ index: 1 });
    await page.getByText("Room for the tool").scrollIntoViewIfNeeded();
    await expect(
      page.getByText("proposed by the layout: look at the line on the photo"),
    ).toBeVisible();
    await expect(page.getByLabel("Line of the standing leg")).toHaveValue(/\|bend tangent$/);
    await expect(page.locator("ul.bounds .v.within")).toBeVisible();
    await page.getByText("Keep it with this finding").click();
    await picture(page, "room-on-the-photo");
    // The other five are of another leg.
    const unnamed = page.getByRole("tab", { name: /\?$/ });
    for (let n = await unnamed.count(); n > 0; n--) {
      await unnamed.first().click();
      await page.locator("#where-is").selectOption("none");
      await expect(unnamed).toHaveCount(n - 1);
    }
    await button(page, "Save").click();
    await expect(page.getByText(/^Saved on this phone/)).toBeVisible({ timeout: 30_000 });
    await expect.poll(() => there(page, true)).toMatchObject({ finding: 1, faults: 0 });
    await visit(page, places[0]!);
    await expect(page.getByText(/Room for the tool, axis 13\.\d\d/).first()).toBeVisible();
    await picture(page, "room-kept");
    await at("/stages");
    await sweep(page, "pilot hole", 4);
    await picture(page, "pilot");
  });

  await test.step("drilled up, deburred, primed, set by sweeps", async () => {
    await at("/stages");
    for (const s of ["final hole", "deburred", "cleaned", "primed", "refitted"])
      await sweep(page, s, 4);
    await picture(page, "refitted");
    await page.getByLabel("They are now").selectOption("set rivet");
    await button(page, "All that may").click();
    await button(page, "4 × set rivet").click();
    await expect(page.getByText("4 rivets are set.")).toBeVisible();
    await picture(page, "set");
    await expect.poll(() => there(page, true)).toMatchObject({ attempt: 4, faults: 0 });
  });

  await test.step("one drilled out and set anew", async () => {
    await visit(page, places[2] + "/rework");
    await expect(button(page, "Done, next")).toBeVisible();
    while ((await button(page, "Done, next").count()) > 0) await button(page, "Done, next").click();
    await picture(page, "drilled-out");
    await button(page, /^Drilled out/).click();
    await expect.poll(() => there(page, true)).toMatchObject({ "drilled-out": 1 });
    await visit(page, places[2] + "/attempt");
    await fill(page, { Tool: "hand puller" });
    await button(page, "Save").click();
    await expect.poll(() => there(page, true)).toMatchObject({ attempt: 5, faults: 0 });
  });

  await test.step("twist imposed, riveted, released", async () => {
    await at("/shape");
    await twists(page, { imposed: "10", riveted: "9.5", released: "8.2" });
    await expect(page.getByText("−8.20 ± 0.45 mm")).toBeVisible();
    await picture(page, "released");
  });

  await test.step("signed, the report made", async () => {
    await at("/sign");
    // What no photo or gauge has read of the set rivets is named before anybody signs.
    await expect(page.getByText("Still open")).toBeVisible();
    await picture(page, "still-open");
    await page.locator("a[href='/inspect/who']").first().click();
    await page.getByLabel("Name of the inspector").fill("E. Salo");
    await page.getByLabel("Authorisation number").fill("I-0417");
    await page
      .locator("input[type=file]")
      .last()
      .setInputFiles(root + "server/demo/photos/angle-left.jpg");
    await page.getByLabel("Date on the page").fill("2026-11-30");
    await page.getByLabel("Page number").fill("4");
    await picture(page, "who-signs");
    await button(page, "Continue").click();
    await page.waitForURL("**/sign"); // by itself, once who signs is kept
    await button(page, "Sign off").click();
    await expect(page.getByText("covers everything so far")).toBeVisible();
    await expect.poll(() => there(page, true)).toMatchObject({ "sign-off": 1, faults: 0 });
    await picture(page, "signed");
    await visit(page, `/exports?part=${part.split("/").pop()!}`);
    await isPDF(page, /^Report/);
    await picture(page, "report");
  });

  await test.step("its mirrored twin begun", async () => {
    await at("/like");
    await fill(page, { Name: "Baggage-hatch frame, other hand" });
    await button(page, "Make the part").click();
    await page.waitForURL((u) => u.pathname.startsWith("/part/") && !u.pathname.startsWith(part));
    await expect(page.locator("a.row[href^='/location/']")).toHaveCount(4);
    await visit(page, new URL(page.url()).pathname + "/shape");
    await button(page, "Measure").click();
    await expect(page.getByLabel("Target", { exact: true })).toHaveValue("8"); // its sign turned
    await picture(page, "twin");
  });
});
