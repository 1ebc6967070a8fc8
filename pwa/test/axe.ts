// What axe-core finds against WCAG 2.2 on a page as it stands. Run in the page itself: a page
// without frames needs no second one to sum up in, which took five times as long.
import axe from "axe-core";
import type { Page } from "@playwright/test";

/** Gives each violation with the first element that has it. */
export const violations = (page: Page): Promise<string[]> => found(page, true);

/** Of contrast alone, all that hangs on the theme. */
export const contrast = (page: Page): Promise<string[]> => found(page, false);

async function found(page: Page, all: boolean): Promise<string[]> {
  if (!(await page.evaluate(() => "axe" in window))) await page.evaluate(axe.source);
  return page.evaluate(async (all) => {
    const here = window as unknown as { axe: typeof axe; looked?: Set<string> };
    // Contrast takes three quarters of axe's time. Where text looks in every way that contrast hangs
    // on as text that this page has shown before, it is not looked at again.
    const looked = (here.looked ??= new Set());
    const looks = new Map<Element, string>();
    const look = (e: Element): string => {
      const known = looks.get(e);
      if (known !== undefined) return known;
      const s = getComputedStyle(e);
      const is = [
        e.parentElement ? look(e.parentElement) : "",
        ...[e.tagName, e.getAttribute("class"), s.color, s.backgroundColor, s.backgroundImage],
        ...[s.opacity, s.fontSize, s.fontWeight, s.textShadow, s.position],
      ].join();
      looks.set(e, is);
      return is;
    };
    const texts = [...document.querySelectorAll("body *")].filter(
      (e) =>
        e.matches("input, select, textarea") ||
        [...e.childNodes].some((n) => n.nodeType === Node.TEXT_NODE && n.nodeValue!.trim()),
    );
    const fresh = texts.filter((e) => e.checkVisibility() && !looked.has(look(e)));
    for (const e of fresh) looked.add(look(e));

    const options = { resultTypes: ["violations" as const], selectors: false };
    const runs = [];
    if (all) {
      const rules = { "color-contrast": { enabled: false } };
      runs.push(await here.axe.run(document, { ...options, rules }));
    }
    if (fresh.length > 0)
      runs.push(await here.axe.run(fresh, { ...options, runOnly: ["color-contrast"] }));
    return runs.flatMap((r) => r.violations).map((v) => `${v.id}: ${v.nodes[0]?.html}`);
  }, all);
}
