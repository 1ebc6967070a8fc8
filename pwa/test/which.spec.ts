import { expect, type Page } from "@playwright/test";
import { root } from "./goside";
import { test } from "./shop";
import { FASTENERS, begins, button, newAngle, rows, snaps, tells, visit } from "./workshop";

// A reading never goes to a rivet by guess: three heads in a row may be taken from either end.

const heads = 3; // on dev-08, beside a hole

async function snap(page: Page, part: string, at = ""): Promise<void> {
  await snaps(page, part, at);
  await expect(page.getByRole("tab")).toHaveCount(heads + 1, { timeout: 90_000 });
}
/** What stands on the photo for a name that the tabs have no more, from now on at any moment. */
async function oldNames(page: Page): Promise<() => Promise<string[]>> {
  const seen = await page.evaluateHandle(() => {
    const seen: string[] = [];
    new MutationObserver(() => {
      const tabs = document.querySelector("[role=tablist]")?.textContent ?? "";
      for (const t of document.querySelectorAll(".photo .tagtext"))
        if (!tabs.includes(t.textContent!)) seen.push(`${t.textContent} beside ${tabs}`);
    }).observe(document.body, { subtree: true, childList: true, characterData: true });
    return seen;
  });
  return () => seen.jsonValue();
}
const save = button;
const blocked = (page: Page) =>
  expect(save(page, "Save")).toHaveAttribute("aria-disabled", "true", { timeout: 60_000 });

test("a rivet is named where the pattern is clear, else asked about", async ({
  shop: { phone: page },
}) => {
  const pinned = await begins(page, "Gusset, pinned");
  const part = await newAngle(page);

  await snap(page, part);
  await expect(save(page, "Save")).not.toHaveAttribute("aria-disabled", "true", {
    timeout: 60_000,
  });
  await save(page, "Save").click();
  await page.waitForURL("**" + part);
  await expect.poll(() => rows(page)).toHaveLength(heads);

  await snap(page, part);
  await blocked(page);
  await expect(page.getByRole("heading", { name: /^Which one is A\?/ })).toBeVisible();
  await expect(page.getByRole("tab", { name: /R\d/ })).toHaveCount(0); // nothing is preset
  // There may be others on the part, so that each may be new: the ways that it may be are offered whole.
  await page.screenshot({ path: `${root}build/ways/which.png` });
  const old = await oldNames(page);
  await page
    .getByRole("group", { name: "All at once" })
    .getByRole("button", { name: "A is R1, B is R2, C is R3" })
    .click();
  await expect(page.locator(".tagtext").filter({ hasText: "R3" })).toBeVisible();
  expect(await old()).toEqual([]);
  await expect(page.getByRole("heading", { level: 1 })).toHaveText("R1 to R3");
  await expect(save(page, "Save")).not.toHaveAttribute("aria-disabled", "true");

  // For one location: which of the three is it?
  await visit(page, part);
  const r2 = await page.getByRole("link", { name: /^R2/ }).getAttribute("href");
  await snap(page, part, `?at=${r2!.split("/").pop()}`);
  await expect(page.getByRole("heading", { name: "Which of these is R2" })).toBeVisible();
  await blocked(page);
  await page.locator(".which").getByRole("button", { name: "B?" }).click();
  await expect(page.getByRole("heading", { level: 1 })).toHaveText("R2");

  await test.step("one tap among pins, a name that stays, a move", () => amongPins(page, pinned));
});

async function amongPins(page: Page, part: string): Promise<void> {
  await snap(page, part);
  await blocked(page);
  await tells(page, "R4"); // the one at the end: the rest follow
  await expect(page.getByRole("heading", { level: 1 })).toHaveText("R2 to R4");

  await page.getByRole("tab", { name: /R3/ }).click();
  await button(page, "Correct").click();
  const title = page.getByRole("heading", { level: 1 });
  await expect(title).toHaveText("Correct R3");
  const names: (string | null)[] = [];
  await page.exposeFunction("named", (s: string | null) => names.push(s));
  await page.evaluate(() => {
    const h = document.querySelector("h1")!;
    new MutationObserver(() =>
      (globalThis as unknown as { named: (s: string | null) => void }).named(h.textContent),
    ).observe(h, { subtree: true, characterData: true, childList: true });
  });
  const box = (await page.locator(".ph-pencil rect").first().boundingBox())!;
  await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
  await page.mouse.down();
  await page.mouse.move(box.x + box.width / 2 + 9, box.y + box.height / 2, { steps: 4 });
  await page.mouse.up();
  await expect(button(page, "Undo")).not.toHaveAttribute("aria-disabled", "true");
  await expect(page.locator(".doing p")).toHaveCount(0, { timeout: 60_000 });
  await expect(title).toHaveText("Correct R3");
  expect(names.filter((n) => n !== "Correct R3")).toEqual([]);
  await button(page, "Done").click();
  await expect(title).toHaveText("R2 to R4");
  await button(page, "Save").click();
  await page.waitForURL("**/snap?next=*"); // R1 is to come
  await visit(page, part);

  // It was the other way round after all for one of them: moved, as entries.
  await expect.poll(() => rows(page)).toHaveLength(FASTENERS);
  const before = await rows(page);
  const link = page.getByRole("link", { name: /^R4/ });
  await link.click();
  await page.waitForURL("**/location/*");
  await page
    .locator("ol.rows")
    .getByRole("button", { name: /^shop head/i })
    .first()
    .click();
  await button(page, "This is not R4: move it").click();
  await page.getByLabel("Where does it belong").selectOption({ label: "R1" });
  await button(page, "Move to R1").click();
  await expect(page.getByRole("heading", { level: 1 })).toHaveText("R1");
  await expect(page.getByText(/moved from R4/)).toBeVisible();
  await visit(page, part);
  const of = (list: string[], tag: string): string | undefined =>
    list.find((r) => r.startsWith(`${tag} `))?.slice(2);
  await expect.poll(async () => of(await rows(page), "R1")).toBe(of(before, "R4"));
}
