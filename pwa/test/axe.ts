// What axe-core finds against WCAG 2.2 on a page as it stands. Run in the page itself: a page
// without frames needs no second one to sum up in, which took five times as long.
import axe from "axe-core";
import type { Page } from "@playwright/test";

/** Gives each violation with the first element that has it; of the named rules alone, if any. */
export async function violations(page: Page, ...only: string[]): Promise<string[]> {
  if (!(await page.evaluate(() => "axe" in window))) await page.evaluate(axe.source);
  return page.evaluate(async (rules) => {
    const found = await (window as unknown as { axe: typeof axe }).axe.run(document, {
      resultTypes: ["violations"],
      ...(rules.length > 0 && { runOnly: rules }),
    });
    return found.violations.map((v) => `${v.id}: ${v.nodes[0]?.html}`);
  }, only);
}
