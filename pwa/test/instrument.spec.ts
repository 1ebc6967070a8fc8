import { expect } from "@playwright/test";
import { test } from "./shop";
import { begins, button, invites, kept, pairs, unsent, visit } from "./workshop";

// A hand reading names its instrument with number and calibration; who measured is asked for once.

test("a hand reading asks for the person once and for the instrument's calibration", async ({
  shop: { laptop, phone: page },
  browser,
}) => {
  const part = await begins(page);
  await expect(unsent(page)).toHaveText("0");
  const code = await invites(page, "builder");
  const phone = await browser.newPage();
  await pairs(phone, laptop, code, "Bench phone", "");
  await visit(phone, part);
  const row = phone.locator("a.row[href^='/location/']").first();
  const place = (await row.getAttribute("href"))!;
  const fill = async (value: string): Promise<void> => {
    await visit(phone, `${place}/gauge`);
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
  await visit(phone, `${place}/gauge`);
  await expect(phone.getByLabel("Instrument")).toHaveValue("calipers 150 mm");
  await expect(phone.getByLabel("Serial or inventory number")).toHaveValue("SN 4711");
  await fill("6.91");
  await expect(phone.getByLabel("Your name")).toHaveCount(0);
  await expect(phone.getByLabel("Serial or inventory number")).toHaveValue("SN 4711");
  await expect
    .poll(async () =>
      (await kept<{ identity?: object }>(page, "gauge", place.split("/").pop())).map((e) => [
        e.by,
        e.data.identity,
      ]),
    )
    .toEqual([["Odo Sorel", { number: "SN 4711", calibrated: "2024-03-01", due: "2025-03-01" }]]);

  // Taken off the list is what may be, and asked first; what may not says so.
  await visit(phone, "/devices");
  await phone
    .locator("li")
    .filter({ hasText: "the laptop" })
    .getByRole("button", { name: /^Remove: / })
    .click();
  await button(phone, /^Remove it/).click();
  await expect(phone.getByRole("alert")).toContainText("This device may not do that");
  await phone.close();
});
