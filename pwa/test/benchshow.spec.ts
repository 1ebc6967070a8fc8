import { expect, test, type Page } from "@playwright/test";
import { readFileSync } from "node:fs";
import { fill, frame, twists } from "./benchwork";
import { root } from "./goside";
import { Laptop } from "./laptop";
import { button, small, there, visit, pairs } from "./workshop";

// The whole job on a phone: the gusset of the baggage-hatch frame from an empty sheet to the signed
// report, and its other hand begun.

// Where things are on a photo is asked once it stands still.
test.use({
  actionTimeout: 15_000,
  viewport: { width: 390, height: 844 },
  contextOptions: { reducedMotion: "reduce" },
});
let laptop: Laptop;
test.beforeEach(async () => {
  laptop = await Laptop.start();
});
test.afterEach(async () => laptop.end());

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

/** A mark of a rendered photo, px; the sheet about it, mm, by the other marks. */
interface Mark {
  px: [number, number];
  mm: [number, number];
}
const marksOf = (photo: string): Mark[] =>
  JSON.parse(readFileSync(`${root}imaging/measure/testdata/${photo}.json`, "utf8")) as Mark[];

/** Where a pixel of the photo, 1800 wide, is on the screen. */
const onScreen = async (page: Page, [u, v]: [number, number]): Promise<[number, number]> => {
  const box = (await page.locator(".result-photo img").first().boundingBox())!,
    s = box.width / 1800;
  return [box.x + u * s, box.y + v * s];
};
const rest = (page: Page): Promise<void> =>
  expect(page.locator(".doing p")).toHaveCount(0, { timeout: 60_000 });

/** Names the fasteners of a photo, A? first, as far as the app has not named them by those before. */
const name = async (page: Page, ...places: string[]): Promise<void> => {
  const unnamed = page.getByRole("tab", { name: /\?$/ });
  await expect(async () => {
    if ((await unnamed.count()) > 0) {
      const letter = (await unnamed.first().innerText({ timeout: 2_000 })).trim().at(-2)!;
      await unnamed.first().click({ timeout: 2_000 });
      await page
        .locator("#where-is")
        .selectOption(places[letter.charCodeAt(0) - 65]!.split("/").pop()!, { timeout: 2_000 });
    }
    expect(await unnamed.count()).toBe(0);
  }).toPass();
};

/** Opens one fastener; naming the last one leads back to all of them, a moment later. */
const open = (page: Page, tag: string): Promise<void> =>
  expect(async () => {
    const tab = page.getByRole("tab", { name: new RegExp(`${tag}$`) });
    await tab.click();
    await expect(page.getByRole("tabpanel", { name: tag, exact: true })).toBeVisible({
      timeout: 2_000,
    });
  }).toPass();

/** Photographs the row's marks, points at R2 and R4, names them, and puts R2's line on the bend's tangent. */
const snapMarks = async (page: Page, photo: string, ...places: string[]): Promise<void> => {
  const marks = marksOf(photo);
  await page.getByLabel("Looking at").selectOption("mark");
  await page
    .locator("input[type=file]")
    .last()
    .setInputFiles(`${root}imaging/measure/testdata/${photo}.jpg`);
  await page.waitForURL("**/photo/*");
  await expect(page.getByText("A mark is not found by itself")).toBeVisible({ timeout: 90_000 });
  await button(page, "Point at it").click();
  for (const m of [marks[3]!, marks[1]!]) {
    await button(page, "Add").click();
    const whole = page.locator(".result-photo img").first();
    await expect.poll(async () => (await whole.boundingBox())!.width).toBeLessThan(500);
    await page.mouse.click(...(await onScreen(page, m.px)));
    await expect(button(page, "Centre")).toHaveAttribute("aria-pressed", "true"); // drawn nearer
    await rest(page);
  }
  await picture(page, "mark-read");
  // The tangent runs along the row: from R2's middle by what is left to the outer face, less the setback.
  await button(page, "Edge").click();
  await expect(page.locator(".ph-pencil rect")).toHaveCount(2);
  const [a, r2, , d] = marks as [Mark, Mark, Mark, Mark],
    long = d.mm[0] - a.mm[0],
    ex = [(d.px[0] - a.px[0]) / long, (d.px[1] - a.px[1]) / long] as const,
    up = 59.016 - r2.mm[1] - 4.6;
  for (const [n, along] of [
    [0, -5],
    [1, 5],
  ] as const) {
    const handle = (await page.locator(".ph-pencil rect").nth(n).boundingBox())!;
    const to = await onScreen(page, [
      r2.px[0] + ex[0] * along + ex[1] * up,
      r2.px[1] + ex[1] * along - ex[0] * up,
    ]);
    await page.mouse.move(handle.x + handle.width / 2, handle.y + handle.height / 2);
    await page.mouse.down();
    await page.mouse.move(...to);
    await page.mouse.up();
    await rest(page);
  }
  await picture(page, "bend-line");
  await button(page, "Done").click();
  await name(page, ...places);
  await open(page, "R2");
  await page.getByText("Room for the tool").scrollIntoViewIfNeeded();
};

const keepMarks = async (page: Page): Promise<void> => {
  await page.getByText("Keep it with this finding").click();
  await button(page, "Save").click();
  await expect(page.getByText(/^Saved on this phone/)).toBeVisible({ timeout: 30_000 });
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

test("the hatch frame's gusset from an empty sheet to the signed report", async ({ page }) => {
  test.setTimeout(300_000);
  await pairs(page, laptop, laptop.link.split("#")[1]!, "Bench phone");
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
    await button(page, "Keep for 4").click();
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
    await button(page, "Keep for 1").click();
    await expect(page.getByText("Kept for R4.")).toBeVisible();
    await page.goto(laptop.url + part);
    const rivets = page.locator("a.row[href$='/rivet']");
    await expect(rivets.nth(0)).toContainText("number 42");
    await expect(rivets.nth(0)).toContainText("R1, R2, R3");
    await expect(rivets.nth(1)).toContainText("number 43");
    await rivets.nth(1).scrollIntoViewIfNeeded();
    await picture(page, "rivets");
    await visit(page, places[3]!);
    await expect(page.getByText(/^Rivet: number 43, grip 4\.01 mm/)).toBeVisible();
  });

  await test.step("a mark too near the leg is seen on its photo, and moved while it is a mark", async () => {
    await at("/snap");
    await snapMarks(page, "angle-marks", places[3]!, places[1]!);
    const line = page.getByLabel("Line of the standing leg");
    await expect(line).toHaveValue(""); // too far off the plan to be proposed
    const near = await line
      .locator("option")
      .evaluateAll((all) =>
        all
          .filter((o) => /^[34]\.\d\d ± .*bend/.test(o.textContent!))
          .map((o) => (o as HTMLOptionElement).value),
      );
    await line.selectOption(near[0]!);
    await expect(page.locator("ul.bounds .v.out")).toBeVisible();
    await picture(page, "mark-too-near");
    await keepMarks(page);
    await visit(page, places[1]!);
    await expect(
      page.getByText(/Room for the tool, axis [89]\.\d\d.*hand puller out/).first(),
    ).toBeVisible();

    await at("/snap");
    await snapMarks(page, "angle-marks-moved", places[3]!, places[1]!); // R2 stands elsewhere now
    await expect(line).toHaveValue(/\|bend tangent$/); // proposed by the layout
    await expect(page.locator("ul.bounds .v.within")).toBeVisible();
    await picture(page, "mark-moved");
    await keepMarks(page);
    await visit(page, places[1]!);
    await expect(
      page.getByText(/Room for the tool, axis 13\.\d\d.*hand puller within/).first(),
    ).toBeVisible();
    await expect.poll(() => there(page)).toMatchObject({ finding: 4, faults: 0 });
    await picture(page, "room-kept");
  });

  await test.step("pilot holes", async () => {
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
    await expect.poll(() => there(page)).toMatchObject({ attempt: 4, faults: 0 });
  });

  await test.step("one drilled out and set anew", async () => {
    await visit(page, places[2] + "/rework");
    await expect(button(page, "Done, next")).toBeVisible();
    while ((await button(page, "Done, next").count()) > 0) await button(page, "Done, next").click();
    await picture(page, "drilled-out");
    await button(page, /^Drilled out/).click();
    await expect.poll(() => there(page)).toMatchObject({ "drilled-out": 1 });
    await visit(page, places[2] + "/attempt");
    await fill(page, { Tool: "hand puller" });
    await button(page, "Save").click();
    await expect.poll(() => there(page)).toMatchObject({ attempt: 5, faults: 0 });
  });

  await test.step("the set rivets are measured on a photo, and looked at", async () => {
    await at("/snap");
    await page
      .locator("input[type=file]")
      .last()
      .setInputFiles(`${root}imaging/measure/testdata/angle-set.jpg`);
    await page.waitForURL("**/photo/*");
    await expect(page.getByRole("tab")).toHaveCount(5, { timeout: 90_000 });
    await name(page, ...[...places].reverse());
    await open(page, "R2");
    await expect(page.getByText("Least head diameter").first()).toBeVisible();
    // Its stack is one sheet thicker: what the card on the other sheet cannot tell is said.
    await open(page, "R4");
    await expect(page.getByText(/^Its stack is another one than that of R/)).toBeVisible();
    await picture(page, "set-measured");
    await button(page, /^Check by eye/).click();
    await button(page, "All are fine").click();
    await expect(page.getByText("Looked at. It is kept with the readings.")).toBeVisible();
    await picture(page, "set-looked-at");
    await button(page, "Done").click();
    await button(page, "Save").click();
    await expect(page.getByText(/^Saved on this phone/)).toBeVisible({ timeout: 30_000 });
    await expect.poll(() => there(page)).toMatchObject({ finding: 8, faults: 0 });
    // The photo alone does not settle one head: calipers do.
    await visit(page, places[2] + "/gauge");
    await fill(page, { Instrument: "calipers 150 mm", Value: "6.33" });
    await expect(page.locator(".then .v")).toHaveText(/within/);
    await button(page, "Save").click();
    await expect.poll(() => there(page)).toMatchObject({ gauge: 1, faults: 0 });
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
    await expect(page.getByText(/Not read \(edge distance/).first()).toBeVisible();
    await expect(page.getByText("Never measured", { exact: true })).toHaveCount(0);
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
    await expect.poll(() => there(page)).toMatchObject({ "sign-off": 1, faults: 0 });
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
