import { expect, test } from "@playwright/test";
import { Laptop } from "./laptop";
import { button, invites, pairs, setUp } from "./workshop";

// A hand reading names its instrument with number and calibration; who measured is asked for once.

let laptop: Laptop;
test.use({ serviceWorkers: "block", actionTimeout: 15_000 });
test.beforeAll(async () => {
  laptop = await Laptop.start();
});
test.afterAll(async () => laptop.end());

test("a hand reading asks for the person once and for the instrument's calibration", async ({
  page,
  browser,
}) => {
  test.setTimeout(150_000);
  const part = await setUp(page, laptop);
  const code = await invites(page, "builder");
  const phone = await (
    await browser.newContext({ viewport: { width: 390, height: 844 } })
  ).newPage();
  await pairs(phone, laptop, code, "Bench phone", "");
  await phone.goto(laptop.url + part);
  const row = phone.locator("a.row[href^='/location/']").first();
  const place = (await row.getAttribute("href"))!;
  const fill = async (value: string): Promise<void> => {
    await phone.goto(`${laptop.url}${place}/gauge`);
    await phone.getByLabel("Instrument").fill("calipers 150 mm");
    await phone.getByLabel("Value").first().fill(value);
  };
  await fill("6.9");
  await phone.getByLabel("Serial or inventory number").fill("SN 4711");
  await phone.getByLabel("Calibrated on").fill("2199-03-01");
  await expect(phone.getByText("calibration is dated 2199-03-01, which is still")).toBeVisible();
  await phone.getByLabel("Calibrated on").fill("2024-03-01");
  await expect(phone.getByText("which is still to come")).toHaveCount(0);
  await phone.getByLabel("Calibration due").fill("2025-03-01");
  await expect(phone.getByText("The instrument's calibration was due on 2025-03-01")).toBeVisible();
  // It is off, and says why when it is pressed all the same.
  await button(phone, "Save").focus();
  await phone.keyboard.press("Enter");
  await expect(phone.getByText("Type your name first")).toBeVisible();
  await phone.screenshot({ path: "test-results/instrument.png", fullPage: true });
  await phone.setViewportSize({ width: 320, height: 700 });
  await phone.screenshot({ path: "test-results/instrument-320.png", fullPage: true });
  await phone.setViewportSize({ width: 390, height: 844 });
  await phone.getByLabel("Your name").fill("Odo Sorel");
  await button(phone, "Save").click();
  await phone.waitForURL("**" + place);

  // The last instrument stands there with what is known of it, before anything is typed.
  await phone.goto(`${laptop.url}${place}/gauge`);
  await expect(phone.getByLabel("Instrument")).toHaveValue("calipers 150 mm");
  await expect(phone.getByLabel("Serial or inventory number")).toHaveValue("SN 4711");
  await fill("6.91");
  await expect(phone.getByLabel("Your name")).toHaveCount(0);
  await expect(phone.getByLabel("Serial or inventory number")).toHaveValue("SN 4711");
  await expect
    .poll(() =>
      page.evaluate(async () => {
        const r = (await (await fetch("/api/entries?after=", { cache: "no-store" })).json()) as {
          entries: { kind: string; by: string; data: { identity?: object } }[];
        };
        return r.entries.filter((e) => e.kind === "gauge").map((e) => [e.by, e.data.identity]);
      }),
    )
    .toEqual([["Odo Sorel", { number: "SN 4711", calibrated: "2024-03-01", due: "2025-03-01" }]]);
  await phone.context().close();
});
