// What people do on the screens of the bench in more than one test.
import { expect, type Page } from "@playwright/test";
import { button, newProject, visit } from "./workshop";

/** A pulled 1/8 in rivet's part, as the hand-worked example has it; gives its path. */
export async function frame(page: Page): Promise<string> {
  await newProject(page);
  await visit(page, "/part/new");
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

/** Measures the hatch frame's twist in the states named, by the height of its fourth corner, mm; on /shape. */
export async function twists(page: Page, heights: Record<string, string>): Promise<void> {
  for (const [state, height] of Object.entries(heights)) {
    await button(page, "Measure").click();
    await fill(page, {
      "Name of the measure": "twist of the hatch frame",
      "Fourth corner": height,
      "Frame's width": "600",
      "Frame's length": "900",
      Target: "−8",
      "Tolerance ±": "1",
      "Who says so": "HF-12 note 7",
    });
    await page.getByRole("radio", { name: state, exact: true }).check();
    await expect(page.locator("[role=status] b").first()).toContainText("± 0.45 mm");
    await button(page, "Save").click();
    await expect(page.getByText("Saved. The measure is in the record.")).toBeVisible();
  }
}
