import { expect, test, type Page } from "@playwright/test";
import { Laptop } from "./laptop";

let laptop: Laptop;
test.use({ serviceWorkers: "allow" });
test.beforeAll(async () => {
  laptop = await Laptop.start();
});
test.afterAll(async () => laptop.end());

/** Waits until the service worker has everything and controls the page. */
const ready = (page: Page): Promise<unknown> =>
  page.evaluate(async () => {
    await navigator.serviceWorker.ready;
    while (!navigator.serviceWorker.controller) await new Promise((r) => setTimeout(r, 50));
  });

const shown = async (page: Page): Promise<string> => {
  await expect(page.locator("#app > *").first()).toBeVisible();
  return (await page.locator("#app").innerText()).trim();
};

test("after the first visit it starts cold with no laptop at all", async ({ page, context }) => {
  const errors: string[] = [];
  page.on("pageerror", (e) => errors.push(e.message));
  await page.goto(laptop.url);
  await ready(page);
  await test.step("no script but the app's own may run", async () => {
    const ran = await page.evaluate(async () => {
      const s = document.createElement("script");
      s.textContent = "window.strange = true";
      document.head.append(s);
      return (window as unknown as { strange?: boolean }).strange === true;
    });
    expect(ran).toBe(false);
  });
  await test.step("it can be installed", async () => {
    const cdp = await context.newCDPSession(page);
    const { installabilityErrors } = await cdp.send("Page.getInstallabilityErrors");
    // Playwright's contexts are private windows, where nothing can be installed.
    expect(installabilityErrors.map((e) => e.errorId).filter((e) => e !== "in-incognito")).toEqual(
      [],
    );
  });
  await test.step("nothing of the interface and none of the server's pages come from the cache", async () => {
    const paths = await page.evaluate(async () => {
      const names = await caches.keys();
      const all = await Promise.all(
        names.map(async (n) =>
          (await (await caches.open(n)).keys()).map((r) => new URL(r.url).pathname),
        ),
      );
      return { names, paths: all.flat() };
    });
    expect(paths.names).toHaveLength(1);
    expect(paths.paths).toContain("/");
    expect(paths.paths).not.toContain("/index.html");
    expect(
      paths.paths.filter(
        (p) => p.startsWith("/api") || p === "/join" || p === "/laptop" || p === "/sw.js",
      ),
    ).toEqual([]);
    expect(await page.evaluate(async () => (await fetch("/api/ping")).status)).toBe(200);
    await context.setOffline(true);
    expect(
      await page.evaluate(async () =>
        fetch("/api/ping").then(
          () => "answered",
          () => "no answer",
        ),
      ),
    ).toBe("no answer");
    await context.setOffline(false);
  });
  await page.reload(); // once under the worker's control
  const online = await shown(page);
  await laptop.off();
  await context.setOffline(true);
  await page.close();
  const cold = await context.newPage();
  cold.on("pageerror", (e) => errors.push(e.message));
  const began = Date.now();
  await cold.goto(laptop.url);
  await shown(cold);
  console.log(`cold start offline: ${Date.now() - began} ms to the first screen`);
  expect((await shown(cold)).length).toBeGreaterThan(0);
  expect(online.length).toBeGreaterThan(0);
  // A deep link too, and the Go side.
  await cold.goto(laptop.url + "/work");
  await shown(cold);
  const compiled = await cold.evaluate(async () => {
    const m = (await (await caches.open((await caches.keys())[0]!)).keys())
      .map((r) => new URL(r.url).pathname)
      .find((p) => p.endsWith(".wasm"))!;
    return (await WebAssembly.compileStreaming(fetch(m))) instanceof WebAssembly.Module;
  });
  expect(compiled).toBe(true);
  expect(errors).toEqual([]);
  await context.setOffline(false);
  await laptop.on();
});
