import { expect, test, type Page } from "@playwright/test";
import { readFileSync } from "node:fs";
import { root } from "./goside";
import { Laptop } from "./laptop";

// What a tab takes for photos of 12 MP, one after the other: what its process holds, from the system.

const PHOTOS = Number(process.env["PHOTOS"] ?? 20);
const MOST_MB = 600;

let laptop: Laptop;
test.use({ serviceWorkers: "block", actionTimeout: 60_000, navigationTimeout: 60_000 });
test.beforeAll(async () => {
  laptop = await Laptop.start();
});
test.afterAll(async () => laptop.end());

/** Resident memory of the browser's tabs, MB: the largest of them is the app's. */
async function resident(page: Page): Promise<number> {
  const cdp = await page.context().browser()!.newBrowserCDPSession();
  const { processInfo } = (await cdp.send("SystemInfo.getProcessInfo")) as {
    processInfo: { type: string; id: number }[];
  };
  await cdp.detach();
  const of = processInfo
    .filter((p) => p.type === "renderer")
    .map((p) => {
      const s = readFileSync(`/proc/${p.id}/status`, "utf8");
      const kb = (what: string): number => Number(new RegExp(`${what}:\\s+(\\d+)`).exec(s)![1]);
      return (kb("RssAnon") + kb("RssShmem")) / 1024;
    });
  return Math.round(Math.max(...of));
}

test(`${PHOTOS} photos of 12 MP`, async ({ page }) => {
  test.setTimeout(1_500_000);
  await page.goto(laptop.url + "/sample");
  await page.waitForURL("**/parts");
  await page.getByRole("link", { name: /Corner gusset, left/ }).click();
  await page.waitForURL("**/part/*");
  const part = new URL(page.url()).pathname;
  const small = readFileSync(root + "testdata/photos/dev-08.jpg").toString("base64");
  const large = Buffer.from(
    await page.evaluate(async (b64) => {
      const b = new Blob([Uint8Array.from(atob(b64), (x) => x.charCodeAt(0))], {
        type: "image/jpeg",
      });
      const map = await createImageBitmap(b, { resizeWidth: 4000, resizeHeight: 3000 });
      const c = new OffscreenCanvas(4000, 3000);
      c.getContext("2d")!.drawImage(map, 0, 0);
      const out = await c.convertToBlob({ type: "image/jpeg", quality: 0.9 });
      const u = new Uint8Array(await out.arrayBuffer());
      let s = "";
      for (let i = 0; i < u.length; i += 32768)
        s += String.fromCharCode(...u.subarray(i, i + 32768));
      return btoa(s);
    }, small),
    "base64",
  );
  const taken: number[] = [];
  let most = 0;
  for (let i = 0; i < PHOTOS; i++) {
    // The snap screen by its own link: the page stays, as in a row of photos.
    await page.evaluate((to) => {
      const a = document.createElement("a");
      a.href = to;
      document.body.append(a);
      a.click();
      a.remove();
    }, `${part}/snap`);
    await page.waitForURL("**/snap");
    const another = Buffer.concat([large, Buffer.from([i])]);
    await page
      .locator("input[type=file]")
      .last()
      .setInputFiles({ name: `${i}.jpg`, mimeType: "image/jpeg", buffer: another });
    await page.waitForURL("**/photo/*");
    await expect(page.getByRole("tab").nth(1)).toBeVisible({ timeout: 120_000 });
    const now = await resident(page);
    taken.push(now);
    most = Math.max(most, now);
    console.log(`photo ${i + 1}: ${now} MB`);
  }
  console.log(`${PHOTOS} photos: at most ${most} MB, ${taken.join(" ")}`);
  expect(most).toBeLessThan(MOST_MB);
});
