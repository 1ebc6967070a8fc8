// What people do on the screens of the bench in more than one test.
import { expect, type Page } from "@playwright/test";
import type { Laptop } from "./laptop";
import { button, pairs } from "./workshop";

/** A pulled 1/8 in rivet's part, as the hand-worked example has it; gives its path. */
export async function frame(page: Page, laptop: Laptop): Promise<string> {
  await pairs(page, laptop, laptop.link.split("#")[1]!, "Bench phone");
  await page.goto(laptop.url + "/project/new");
  await page.getByLabel("Name", { exact: true }).fill("Tarn 2");
  await button(page, "Create the project").click();
  await page.waitForURL("**/start");
  await page.goto(laptop.url + "/part/new");
  await page.getByLabel("Name", { exact: true }).fill("Baggage-hatch frame, angle");
  await page.getByLabel("What is there when it is finished").selectOption("pulled-head");
  await page.getByLabel("Size").fill("1/8");
  await expect(page.getByText(/^D 3\.18/)).toBeVisible();
  await button(page, "Add the part").click();
  await page.waitForURL("**/part/*/layout");
  return `/part/${/\/part\/([^/]+)/.exec(page.url())![1]!}`;
}

export const fill = async (page: Page, of: Record<string, string>): Promise<void> => {
  for (const [label, text] of Object.entries(of))
    await page.getByLabel(label, { exact: true }).first().fill(text);
};
