import { expect, test, type Page } from "@playwright/test";
import { Laptop } from "./laptop";
import { button, kept, named, saves, setUp, snaps, visit } from "./workshop";

// The card setup as people fill it in, and that a shot keeps the calibration it was taken with.

let laptop: Laptop;
test.beforeAll(async () => {
  laptop = await Laptop.start();
});
test.afterAll(async () => laptop.end());

interface Data {
  calibration?: string;
  photo?: string;
  copies?: Record<string, string>;
  check_across_mm?: number;
}
const entries = (page: Page, kind: string) => kept<Data>(page, kind);

const type = async (
  page: Page,
  ...[across, along, thickness]: readonly [string, string, string]
): Promise<void> => {
  await page.getByLabel("Line across").fill(across);
  await page.getByLabel("Line along").fill(along);
  await page.getByLabel("Thickness, with backing").fill(thickness);
  await button(page, "Save").press("Enter"); // it says why when it can't work
};

/** Takes a photo in and waits for its readings; it waits unsaved. */
async function snap(page: Page, part: string): Promise<string> {
  await snaps(page, part);
  await named(page);
  return new URL(page.url()).pathname;
}

test("the card setup says what is wrong; a photo keeps the calibration that it was taken with", async ({
  page,
  context,
}) => {
  const part = await setUp(page, laptop); // saves a first sheet
  await visit(page, "/cards/new");
  await expect(page.getByLabel("Sheet number")).toHaveValue("2");
  const wrong: [[string, string, string], string][] = [
    [["141", "141.2", "0.25"], "The printer scaled the page: the line across is 141.0 mm long"],
    [["5.906", "5.904", "0.25"], "Type it in millimetres: 150.0"],
    [["149,8", "150,1", "0.010"], "0.010 for the thickness looks like inches"],
    [["147", "147", "0.25"], ": 2.0 % off"],
    [["149.8", "150.1", "9"], "outside 0.05 to 5 mm"],
  ];
  for (const [typed, says] of wrong) {
    await type(page, ...typed);
    await expect(page.getByRole("alert")).toContainText(says);
  }
  const missing: [[string, string, string], string][] = [
    [["", "", ""], "Line across"],
    [["0x96", "150", "0.25"], "Line across"],
    [["149.8", "1,49,8", "0.25"], "Line along"],
    [["149.8", "-150", "0.25"], "Line along"],
    [["149.8", "150.1", ""], "Thickness, with backing"],
  ];
  for (const [typed, label] of missing) {
    await type(page, ...typed);
    await expect(page.getByText(`${label}: enter what was measured`)).toBeVisible();
    await expect(page.getByRole("alert")).toHaveCount(0); // what was wrong before is gone
    const field = page.getByLabel(label);
    if (await field.inputValue()) await expect(field).toHaveAttribute("aria-invalid", "true");
  }

  const waits = await snap(page, part);
  await visit(page, "/cards/new");
  await type(page, "151", "150,9 mm", ".25");
  await page.waitForURL("**/cards");
  await expect
    .poll(async () => (await entries(page, "card")).map((e) => e.data.check_across_mm))
    .toEqual([149.55, 151]);
  const [first, second] = (await entries(page, "card")).map((e) => e.id);

  await page.goto(laptop.url + waits); // measured anew, by the card that is on it
  await page.getByRole("tab").nth(1).click();
  await button(page, "Correct").click();
  await button(page, "Right").click();
  await button(page, "Done").click();
  await expect(button(page, "Save")).not.toHaveAttribute("aria-disabled", "true", {
    timeout: 60_000,
  });
  await saves(page, part);
  await snap(page, part);
  await saves(page, part);
  await expect
    .poll(async () => (await entries(page, "shot")).map((e) => e.data.calibration))
    .toEqual([first, second]);
  const copies = await entries(page, "shot");
  for (const shot of copies) expect(Object.keys(shot.data.copies ?? {})).toEqual([shot.data.photo]); // for whoever checks a bundle

  // and says so to whoever looks: the newest first
  await visit(page, part);
  await page.locator("a.row[href^='/location/']").filter({ hasText: "R2" }).click();
  const photos = page.getByRole("button", { name: /^Photo/ });
  for (const [n, sheet] of ["Sheet 2", "Sheet 1"].entries()) {
    await photos.nth(n).click();
    await expect(page.getByRole("listitem").filter({ has: photos }).nth(n)).toContainText(
      `corner, ${sheet}, measured`,
    );
  }

  await test.step("a measured sheet is in use from then on, whatever the page or another tab does next", async () => {
    // As if the page were reloaded before it came to write anything beside the entry.
    await page.addInitScript(() => {
      const put = IDBObjectStore.prototype.put;
      IDBObjectStore.prototype.put = function (
        this: IDBObjectStore,
        value: unknown,
        key?: IDBValidKey,
      ) {
        return key === "preferences" && !this.transaction.objectStoreNames.contains("entries")
          ? this.get(key)
          : put.call(this, value, ...(key === undefined ? [] : [key]));
      } as typeof put;
    });
    await page.goto(laptop.url + "/cards/new"); // by the changed page
    await type(page, "149.80", "150.10", "0.25");
    await page.waitForURL("**/cards");
    await page.reload();
    const used = (p: Page) => p.locator(".row[aria-current=true] b");
    await expect(used(page)).toHaveText("Sheet 3");

    const other = await context.newPage();
    await other.goto(laptop.url + "/cards");
    await page.goto(laptop.url + "/cards/new");
    await type(page, "149.90", "150.00", "0.25");
    await page.waitForURL("**/cards");
    await other.evaluate((to) => {
      history.pushState({}, "", to); // within the app: this tab remembers its part, and the sheet as it knew it
      dispatchEvent(new PopStateEvent("popstate"));
    }, part);
    await expect(other.locator("a.row[href^='/location/']").first()).toBeVisible();
    await page.reload();
    await expect(used(page)).toHaveText("Sheet 4");
    await page.goto(`${laptop.url}${part}/snap`);
    await expect(page.locator(".tb")).toContainText("4"); // what the photo will name
  });
});
