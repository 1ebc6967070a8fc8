import { expect, test, type Page } from "@playwright/test";
import { createServer, type Server } from "node:http";
import { readFile } from "node:fs/promises";
import { extname, join } from "node:path";
import { root } from "./goside";

// A new version of the app: fetched behind the running one, offered, and taken as a whole when the
// builder says so. Two builds are the files of one, told apart by a mark in the page and by the
// version that the service worker bears.

const types: Record<string, string> = {
  ".html": "text/html",
  ".js": "text/javascript",
  ".css": "text/css",
  ".wasm": "application/wasm",
  ".svg": "image/svg+xml",
  ".webmanifest": "application/manifest+json",
  ".png": "image/png",
  ".jpg": "image/jpeg",
};

test.use({ serviceWorkers: "allow" });
let server: Server,
  url = "",
  build = "",
  broken = false;
test.beforeEach(async () => {
  build = "first";
  server = createServer((req, res) => {
    const path = new URL(req.url ?? "/", "http://localhost").pathname;
    const name = path === "/" || !extname(path) ? "index.html" : path.slice(1);
    readFile(join(root, "pwa/dist", name))
      .then((b) => {
        if (broken && name.startsWith("part-")) throw new Error("cut off");
        res.setHeader("Content-Type", types[extname(name)] ?? "application/octet-stream");
        if (name === "index.html")
          res.end(b.toString().replace("<head>", `<head><meta name="build" content="${build}">`));
        else if (name === "sw.js") res.end(b.toString().replace(/"[0-9a-f]{16}"/, `"${build}"`));
        else res.end(b);
      })
      .catch(() => {
        res.statusCode = path.startsWith("/api/") ? 404 : 500;
        res.end();
      });
  });
  await new Promise<void>((r) => server.listen(0, "127.0.0.1", r));
  const address = server.address();
  url = `http://localhost:${typeof address === "object" && address ? address.port : 0}`;
});
test.afterEach(() => {
  server.closeAllConnections();
  server.close();
});

const runs = (page: Page): Promise<string | null> =>
  page.locator("meta[name=build]").getAttribute("content");
const offer = (page: Page) => page.getByRole("button", { name: "Load it" });
const look = (page: Page): Promise<unknown> =>
  page.evaluate(async () =>
    (await navigator.serviceWorker.getRegistration())!.update().catch(() => undefined),
  );

async function install(page: Page): Promise<void> {
  await page.goto(url + "/sample");
  await page.waitForURL("**/parts");
  await page.evaluate(async () => {
    await navigator.serviceWorker.ready;
    while (!navigator.serviceWorker.controller) await new Promise((r) => setTimeout(r, 50));
  });
  expect(await runs(page)).toBe("first");
}

test("a new version is offered and taken when the builder says so; half of one never", async ({
  page,
}) => {
  await install(page);
  // One file does not come: the running version stays, whole.
  build = "second";
  broken = true;
  await look(page);
  await page.waitForTimeout(500);
  await page.goto(url + "/exports");
  await expect(page.getByRole("heading", { name: "Report and exports" })).toBeVisible();
  expect(await runs(page)).toBe("first");
  await expect(offer(page)).toHaveCount(0);

  broken = false;
  await look(page);
  await expect(offer(page)).toBeVisible();
  await page.reload(); // as often as one likes
  for (const [width, height] of [
    [390, 844],
    [1280, 800],
    [195, 422],
  ] as const) {
    // it covers nothing
    await page.setViewportSize({ width, height });
    await expect(offer(page)).toBeInViewport({ ratio: 1 });
    expect(
      await page.evaluate(() => {
        const low = document.querySelector(".update")!.getBoundingClientRect().bottom;
        return [...document.querySelectorAll(".tb, .main, .strip, .zones text")]
          .filter((e) => e.getClientRects().length > 0 && e.getBoundingClientRect().top < low - 0.5)
          .map((e) => e.getAttribute("class") ?? e.textContent);
      }),
      `${width} px wide`,
    ).toEqual([]);
  }
  await page.setViewportSize({ width: 1280, height: 720 });
  expect(await runs(page)).toBe("first");
  await offer(page).click();
  await expect.poll(() => runs(page).catch(() => "")).toBe("second");
  await expect(page.getByRole("heading", { name: "Report and exports" })).toBeVisible();
  await expect(offer(page)).toHaveCount(0);
  expect(await page.evaluate(async () => (await caches.keys()).length)).toBe(1);
});

test("where another tab has taken the new version, the offer still takes it", async ({
  page,
  context,
}) => {
  await install(page);
  const other = await context.newPage();
  await other.goto(url + "/exports");
  await expect(other.getByRole("heading", { name: "Report and exports" })).toBeVisible();
  build = "second";
  await look(page);
  await expect(offer(other)).toBeVisible();
  await offer(page).click();
  await expect.poll(() => runs(page).catch(() => "")).toBe("second");
  expect(await runs(other)).toBe("first"); // no work in hand is taken away
  await offer(other).click();
  await expect.poll(() => runs(other).catch(() => "")).toBe("second");
  await expect(offer(other)).toHaveCount(0);
});
