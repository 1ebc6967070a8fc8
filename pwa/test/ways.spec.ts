import { expect, type Page } from "@playwright/test";
import { root } from "./goside";
import { test } from "./shop";
import { begins, button, named, takesIn, visit } from "./workshop";

// The ways from one photo to the next thing: a row is snapped without leaving the camera, what was not
// saved is found again, one look covers a photo, a decision is made with eyes open, and drilling out
// leads from the hole to the new rivet.

const name = "Gusset, its ways";

async function takes(page: Page): Promise<void> {
  await takesIn(page);
  await expect(page.getByRole("tab").nth(1)).toBeVisible({ timeout: 90_000 });
}
const shot = (page: Page, name: string): Promise<Buffer> =>
  page.screenshot({ path: `${root}build/ways/${name}.png` });

/** The step of a drilling out that is on the disk. */
const stepKept = (page: Page, id: string): Promise<number | undefined> =>
  page.evaluate(
    (id) =>
      new Promise<number | undefined>((done) => {
        const r = indexedDB.open("bucktail");
        r.onsuccess = () => {
          const q = r.result.transaction("settings").objectStore("settings").get("preferences");
          q.onsuccess = () => {
            r.result.close();
            done((q.result as { rework?: Record<string, { at: number }> })?.rework?.[id]?.at);
          };
        };
      }),
    id,
  );

test("from one photo to the next thing", async ({ shop: { phone: page } }) => {
  const part = await begins(page, name);
  await visit(page, `${part}/snap`);
  await takes(page);

  await test.step("as what it is measured is said at once", async () => {
    const as = page.getByLabel("Measured as");
    await as.selectOption("hole");
    await expect(as).toHaveValue("hole", { timeout: 1000 });
    // It stands for as long as the measuring takes: a click that waits for rest may come too late.
    await button(page, "Cancel").dispatchEvent("click");
    await expect(as).toHaveValue("shop-head");
  });

  await test.step("what is not saved is found from part and work list", async () => {
    for (const from of [part, "/work"]) {
      await visit(page, from);
      await shot(page, `unsaved${from.replace(/\W/g, "-").slice(0, 6)}`);
      await page.getByRole("link", { name: /^1 photo not saved yet/ }).click();
      await page.waitForURL("**/photo/*");
    }
  });

  await named(page);
  await test.step("one look for the photo", async () => {
    const panel = page.getByRole("tabpanel");
    await panel.evaluate((e) => e.scrollTo(0, e.scrollHeight));
    await page.getByRole("button", { name: /^Check by eye/ }).click();
    expect(await panel.evaluate((e) => e.scrollTop)).toBe(0); // from its beginning
    await expect(
      page.getByText("One look for the photo: R1, R2, R3.", { exact: false }),
    ).toBeVisible();
    const cracked = page.getByRole("group", { name: /cracked/i }).first();
    await cracked.getByLabel("R2").check();
    await shot(page, "look");
    await button(page, "Fine, but what is marked at R2").click();
    await expect(page.getByText("Looked at. It is kept with the readings.")).toBeVisible();
    await button(page, "Done").click();
    await expect(page.getByRole("button", { name: /^Check by eye/ }).locator(".count")).toHaveText(
      "0",
    );
  });

  await test.step("saving leads back to the camera, with what is next", async () => {
    await button(page, "Save").click();
    await page.waitForURL("**/snap?next=*");
    await expect(page.getByRole("heading", { level: 1 })).toHaveText("Snap R4");
    await shot(page, "next");
  });

  await visit(page, part);
  const r2 = (await page.getByRole("link", { name: /^R2/ }).getAttribute("href"))!,
    id = r2.split("/").pop()!;

  await test.step("a decision with eyes open", async () => {
    // In which orders the choices are shown while the screen is made: one, and none moves.
    await page.addInitScript(() => {
      const orders = ((window as unknown as { orders: Set<string> }).orders = new Set());
      new MutationObserver(() => {
        const shown = [...document.querySelectorAll(".choice.rows label")];
        if (shown.length > 0) orders.add(shown.map((x) => x.textContent!.slice(0, 6)).join());
      }).observe(document, { childList: true, subtree: true, characterData: true });
    });
    await page.reload();
    await visit(page, `${r2}/decide`);
    await expect(page.locator("canvas.crop")).toBeVisible();
    await expect(page.locator(".decided")).toContainText("±");
    await expect(page.locator(".advice")).not.toBeEmpty();
    await expect(page.getByRole("radio").first()).not.toBeChecked();
    await expect(page.getByText("fits what was found")).toHaveCount(1);
    expect(
      await page.evaluate(() => [...(window as unknown as { orders: Set<string> }).orders]),
    ).toHaveLength(1);
    await shot(page, "decide");
  });

  await test.step("more than one value by hand", async () => {
    await visit(page, `${r2}/gauge`);
    await page.getByLabel("Instrument").fill("calipers 150 mm, no. 3");
    await expect(
      page.getByText(/^One value is not enough: there are limits for the least/),
    ).toBeVisible();
    await shot(page, "gauge");
    await button(page, "Add the other one").click();
    await expect(page.getByText(/^One value is not enough/)).toHaveCount(0);
    for (const [i, v] of ["7.6", "7.8"].entries())
      await page.getByLabel("Value", { exact: true }).nth(i).fill(v);
    await button(page, "Save").click();
    await page.waitForURL("**" + r2);
    await visit(page, `${r2}/gauge`);
    await expect(page.getByLabel("Instrument")).toHaveValue("calipers 150 mm, no. 3");
  });

  await test.step("drilling out goes on where it was left, then the hole, then the new rivet", async () => {
    await visit(page, `${r2}/rework`);
    for (let i = 0; i < 2; i++) await button(page, "Done, next").click();
    await expect(page.locator(".steps .now")).toContainText("3");
    await expect.poll(() => stepKept(page, id)).toBe(2); // a moment after the screen
    await page.reload();
    await expect(page.locator(".steps .now .n")).toHaveText("3");
    while ((await button(page, "Done, next").count()) > 0) await button(page, "Done, next").click();
    await expect(page.locator(".steps .now")).toContainText("take a photo of it");
    await shot(page, "rework");
    await button(page, "Drilled out: snap the hole").click();
    await page.waitForURL(`**/snap?at=${id}`);
    await expect(page.getByLabel("Looking at")).toHaveValue("hole");

    await visit(page, "/work");
    await page
      .getByRole("link", { name: `R2 ${name}` })
      .filter({ hasText: "Snap the hole, then set a new rivet" })
      .click();
    await page.waitForURL(`**/snap?at=${id}`);
    await takes(page);
    await expect(page.getByLabel("Measured as")).toHaveValue("hole");
    await shot(page, "hole");
    await button(page, "Save").click();
    await page.waitForURL(/\/location\/[^/]+(\/attempt)?$/);
    await shot(page, "afterhole");

    // By pins, before the new rivet.
    await visit(page, `${r2}/gauge`);
    await page.getByText("Go and no-go pins of the hole's band").click();
    await page.getByLabel("Go pin").first().fill("4.90");
    await page.getByLabel("No-go pin").first().fill("4.85");
    await button(page, "Take the pins as readings").click();
    await expect(page.getByText("A pin was not tried")).toBeVisible();
    const says = (pin: string, what: string): Promise<void> =>
      page
        .getByRole("group", { name: pin, exact: true })
        .getByRole("radio", { name: what })
        .check();
    await says("Go pin", "enters");
    await says("No-go pin", "does not");
    await button(page, "Take the pins as readings").click();
    await expect(page.getByText("are no band")).toBeVisible();
    await page.getByLabel("No-go pin").first().fill("4.95");
    await button(page, "Take the pins as readings").click();
    await expect(page.getByText(/go 4\.900 mm .* entered/)).toBeVisible();
    await shot(page, "pins");
  });
});
