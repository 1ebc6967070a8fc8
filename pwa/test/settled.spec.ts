import { expect, type Page } from "@playwright/test";
import { test } from "./shop";
import { begins, button, drawingLimits, kept, named, saves, snaps, visit } from "./workshop";

// What a hand gauge measured takes that reading's place and no other's: the work list and the
// location name the reading that still waits. By the drawing's limits the photo's R3 is undecided
// with its edge distance, 9.04 mm in truth, and with its pitch, 13.47 mm; R2 has two edges and two
// neighbours.

const name = "Gusset, settled";
let part: string;

const row = (page: Page, tag: string) =>
  page.locator("a.row[href^='/location/']").filter({ hasText: tag });
const open = async (page: Page, tag: string): Promise<void> => {
  await visit(page, part);
  await row(page, tag).click();
  await page.waitForURL("**/location/*");
};
/** How the gauge form says that the location will stand. */
const then = (page: Page) => page.locator(".then");

test("a hand reading takes the place of what it measured, and of nothing else", async ({
  shop: { phone: page },
}) => {
  part = await begins(page, name);
  await drawingLimits(page, part, [
    ["edge distance", "9.1"],
    ["pitch", "13.4"],
  ]);
  await snaps(page, part);
  await named(page);
  await saves(page, part);

  await test.step("the edge is gauged, the pitch waits", async () => {
    await visit(page, "/work");
    const waits = page.getByRole("link", { name: `R3 ${name}` });
    await expect(waits).toContainText(/edge 9\.\d\d ± 0\.\d\d, min 9\.10/);
    await waits.click();
    await page.waitForURL("**/gauge");
    await page.getByLabel("Instrument").fill("calipers 150 mm");
    await expect(then(page)).toContainText("Enter what was measured.");
    const height = (await then(page).boundingBox())!.height;
    await page.getByLabel("What was measured").selectOption("edge_distance");
    await expect(page.getByLabel("To which edge").locator("option")).toHaveText([
      /^The nearest: 9\.0\d ± 0\.\d\d mm$/,
      "Another edge",
    ]);
    // Where the shank stands nobody knows from the driven head: that is said, with what settles it.
    await page.getByLabel("Value").fill("9.15");
    await page.getByLabel("How sure are you, ±").fill("0.03");
    await expect(then(page)).toContainText("can't tell");
    await expect(then(page)).toContainText("Measure from the manufactured head or the empty hole.");
    await page.getByRole("radio", { name: /^the manufactured head or the empty hole/ }).check();
    await expect(then(page)).toContainText(/can.t tell\s*pitch 13\.\d\d/);
    expect((await then(page).boundingBox())!.height).toBeGreaterThanOrEqual(height);
    await button(page, "Save").click();
    await page.waitForURL((u) => !u.pathname.endsWith("/gauge"));
    await open(page, "R3");
    await expect(page.getByText(/superseded by the hand reading of/)).toHaveCount(1);
    await expect(page.locator("s").first()).toHaveText("Edge distance");
    await visit(page, "/work");
    await expect(waits).toContainText(/pitch 13\.\d\d ± 0\.\d\d, min 13\.40/);
  });

  await test.step("one edge leaves the other's verdict", async () => {
    await open(page, "R2");
    await page.getByRole("link", { name: "Enter a hand reading" }).click();
    await page.getByLabel("Instrument").fill("calipers 150 mm");
    await page.getByLabel("What was measured").selectOption("edge_distance");
    await expect(page.getByLabel("To which edge").locator("option")).toHaveText([
      /^The nearest: 9\.0\d ± 0\.\d\d mm$/,
      /^2nd nearest: 21\.\d\d ± 0\.\d\d mm$/,
      "Another edge",
    ]);
    await page.getByLabel("To which edge").selectOption({ index: 1 });
    await page.getByRole("radio", { name: /^the manufactured head/ }).check();
    await page.getByLabel("Value").fill("21.2");
    await expect(then(page)).toContainText(/can.t tell\s*edge 9\.\d\d/);
    // Where hand and photo disagree it is said before it is saved.
    await page.getByLabel("To which edge").selectOption({ index: 0 });
    await page.getByLabel("Value").fill("12");
    await expect(then(page)).toContainText("both count until it is measured by hand once more");
    // Another edge has a name.
    await page.getByLabel("To which edge").selectOption("other");
    await expect(then(page)).toContainText("Enter what was measured.");
    await page.getByLabel("Name of the edge").fill("edge at the hinge");
    await expect(then(page)).toContainText(/can.t tell\s*edge 9\.\d\d/);
    await page.getByLabel("What was measured").selectOption("pitch");
    const neighbours = page.getByLabel("To which neighbour").locator("option");
    await expect(neighbours.nth(0)).toHaveText(/^The nearest, R[13]: 13\.\d\d ± 0\.\d\d mm$/);
    await expect(neighbours.nth(1)).toHaveText(/^R[13]: 13\.\d\d ± 0\.\d\d mm$/);
    await expect(neighbours.filter({ hasText: "To R4" })).toHaveCount(1);
    await expect(neighbours.last()).toHaveText("Another neighbour");
    await page.getByLabel("To which neighbour").selectOption({ index: 1 });
    await page.getByLabel("Value").fill("13.7");
    await button(page, "Save").click();
    await page.waitForURL("**/location/*");
    // In the record the photo's pitches go to locations, and so does the hand's.
    interface Read {
      quantity: string;
      of?: { location: string; name: string };
    }
    const at = page.url().split("/").pop()!;
    const pitches = async (kind: string): Promise<string[]> => {
      const read = (
        await kept<{ readings: Read[]; result?: { checks: { reading: Read }[] } }>(page, kind, at)
      ).flatMap(({ data }) => [...data.readings, ...data.result!.checks.map((c) => c.reading)]);
      return [
        ...new Set(read.filter((r) => r.quantity === "pitch").map((r) => JSON.stringify(r.of))),
      ].sort();
    };
    await expect.poll(() => pitches("gauge")).toHaveLength(1);
    const photo = await pitches("finding");
    expect(photo).toEqual([
      expect.stringMatching(/"name":"R1"/),
      expect.stringMatching(/"name":"R3"/),
    ]);
    expect(photo).toContain((await pitches("gauge"))[0]);
  });

  await test.step("plots say how each reading stood", async () => {
    // What the plot writes and where it marks readings.
    await page.evaluate(() => {
      const p = CanvasRenderingContext2D.prototype,
        text = p.fillText,
        arc = p.arc;
      const drawn: { texts: [string, number, unknown][]; marks: number[] } = {
        texts: [],
        marks: [],
      };
      (window as unknown as { drawn: typeof drawn }).drawn = drawn;
      p.fillText = function (t, x, ...rest) {
        drawn.texts.push([t, x, this.fillStyle]);
        text.call(this, t, x, ...rest);
      };
      p.arc = function (x, ...rest) {
        drawn.marks.push(x);
        arc.call(this, x, ...rest);
      };
    });
    await open(page, "R3");
    const drawn = () =>
      page.evaluate(() => {
        const { texts, marks } = (
          window as unknown as { drawn: { texts: [string, number, unknown][]; marks: number[] } }
        ).drawn;
        return { limits: texts.filter(([t]) => /^(min|max) /.test(t)), right: Math.max(...marks) };
      });
    await expect
      .poll(async () => (await drawn()).limits.map(([t]) => t))
      .toEqual(["min 6.55", "max 8.33"]);
    for (const [t, x] of (await drawn()).limits)
      expect(x, `${t} stands beside all marks`).toBeGreaterThan((await drawn()).right + 11);
    // The phone turns dark by itself: the plot's ink follows.
    const inks = async () => new Set((await drawn()).limits.map(([, , ink]) => ink)).size;
    expect(await inks()).toBe(1);
    await page.emulateMedia({ colorScheme: "dark" });
    await expect.poll(inks).toBe(2);
    await page.emulateMedia({ colorScheme: "light" });
    await expect(page.locator("figure")).toHaveText(
      /9\.\d\d ± 0\.\d\d edge\s*can.t tell\s*then by hand gauge\s*1\d\.\d\d ± 0\.\d\d pitch\s*can.t tell/,
    );

    // The part's plots: readings that come after the screen are drawn too.
    await visit(page, `${part}/history`);
    const plot = page.getByRole("img", { name: /^Head diameter, mm/ });
    await expect(plot.locator("canvas")).toBeVisible();
    await page.getByRole("radio", { name: "Hole diameter" }).check();
    await expect(page.getByText("Two readings are needed for a plot.")).toBeVisible();
    await page.getByRole("radio", { name: "Head diameter" }).check();
    await expect(plot.locator("canvas")).toBeVisible();
  });

  await test.step("a drill that can't be read is asked about", async () => {
    await open(page, "R3");
    // A drill that can't be read is asked about, and not left out of the record without a word.
    await page.getByRole("link", { name: "Drill out" }).click();
    const done = button(page, "Drilled out: snap the hole");
    await button(page, "It is out").click(); // the steps are known
    await page.getByLabel("Drill used").fill("#13");
    await page.getByLabel("Why").fill("too near its neighbour");
    await done.press("Enter");
    await expect(
      page.getByRole("status").filter({ hasText: "Enter the drill in millimetres" }),
    ).toBeVisible();
    await page.getByLabel("Drill used").fill("4,7 mm");
    await done.click();
    await page.waitForURL("**/snap?at=*");
    const r3 = new URL(page.url()).searchParams.get("at")!;
    await expect
      .poll(async () =>
        (await kept<{ drill_mm?: number; reason?: string }>(page, "drilled-out", r3)).map(
          ({ data }) => [data.drill_mm, data.reason],
        ),
      )
      .toEqual([[4.7, "too near its neighbour"]]);
  });

  await test.step("in inches a gauge's U begins in inches", async () => {
    // In inches a hand gauge's U begins in inches: 0.05 in would be more than a millimetre.
    await visit(page, "/settings");
    await page.getByRole("radio", { name: "inch" }).check();
    await visit(page, part);
    await page.locator("a.row[href^='/location/']").first().click();
    await page.getByRole("link", { name: "Enter a hand reading" }).click();
    await button(page, "Add a reading").click();
    await expect(page.getByLabel("How sure are you, ±").first()).toHaveValue("0.002");
    await expect(page.getByLabel("How sure are you, ±").last()).toHaveValue("0.02");
    await expect(page.getByText("about 0.002 in")).toBeVisible();
    await visit(page, "/settings");
    await page.getByRole("radio", { name: "mm", exact: true }).check();
  });
});
