import { test } from "@playwright/test";
import { Laptop } from "./laptop";
import { button } from "./workshop";
import { frame, fill } from "./benchwork";
test("shots", async ({ page }) => {
  const laptop = await Laptop.start();
  const part = await frame(page, laptop);
  const at = async (
    url: string,
    name: string,
    act?: () => Promise<void>,
    full = false,
  ): Promise<void> => {
    await page.goto(laptop.url + url);
    if (act) await act();
    await page.waitForTimeout(500);
    await page.screenshot({ path: `/tmp/lshots/${name}.png` });
    if (full) {
      const v = page.viewportSize()!;
      await page.setViewportSize({ width: v.width, height: 3200 });
      await page.waitForTimeout(300);
      await page.screenshot({ path: `/tmp/lshots/${name}-full.png` });
      await page.setViewportSize(v);
    }
  };
  await at("/tools", "tools", async () => {
    await fill(page, {
      Name: "hand puller",
      "Nose, width": "12",
      "Nose, length": "20",
      "Body from the nose's axis": "19",
    });
    await button(page, "Save the tool").click();
  });
  const leg = async (): Promise<void> => {
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
  };
  await at(part + "/lay", "lay", leg, true);
  await at(
    part + "/lay",
    "lay-corner",
    async () => {
      await page.getByText("gusset corner").click();
      await fill(page, {
        "Width of the leg": "25.4",
        Length: "120",
        Sheet: "0.8",
        "Second leg: width": "25.4",
        "Second leg: length": "100",
        "Tube, first leg": "25.4",
        "Tube, second leg": "25.4",
        "Its corner radius": "3",
        "Second tube begins": "25.4",
      });
    },
    true,
  );
  await page.setViewportSize({ width: 320, height: 640 });
  await at(part + "/lay", "lay-320", leg);
  await page.setViewportSize({ width: 844, height: 390 });
  await at(part + "/lay", "lay-wide", leg);
  await page.setViewportSize({ width: 1280, height: 800 });
  await at(part + "/lay", "lay-1280", leg);
  await page.setViewportSize({ width: 390, height: 844 });
  await at(part + "/lay", "lay-none", async () => {
    await leg();
    await fill(page, { "Width of the leg": "15" });
  });
  await at(part + "/lay", "lay-200", async () => {
    await leg();
    await page.evaluate(() => {
      document.documentElement.style.fontSize = "200%";
    });
  });
  await laptop.end();
});
