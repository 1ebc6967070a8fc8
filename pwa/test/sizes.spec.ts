import { expect, test, type Page } from "@playwright/test";
import { root } from "./goside";
import { Laptop } from "./laptop";
import { cameraOf } from "./taken";
import { button, named, visit } from "./workshop";

// Nothing is cut off and nothing covers anything, measured in the page: at 320 px, on its side, at
// twice the text, with long names and with a hundred locations.

let laptop: Laptop;
test.use({
  permissions: ["camera"],
  launchOptions: cameraOf(root + "testdata/photos/dev-08.jpg"), // held at a slant: it says so
});
test.beforeAll(async () => {
  laptop = await Laptop.start();
});
test.afterAll(async () => laptop.end());

const sizes = [
  { name: "320", width: 320, height: 640, text: 100 },
  { name: "390", width: 390, height: 844, text: 100 },
  { name: "landscape", width: 844, height: 390, text: 100 },
  { name: "large", width: 390, height: 844, text: 200 },
] as const;

/**
 * What goes wrong on the screen as it stands: text that its box cuts off, two things in one place, what
 * lies beside the window or under the strip when it is scrolled to.
 */
const wrong = (page: Page): Promise<string[]> =>
  page.evaluate(() => {
    const out: string[] = [];
    const name = (e: Element): string =>
      `${e.tagName.toLowerCase()}.${e.getAttribute("class") ?? ""} "${(e.textContent ?? "").trim().slice(0, 40)}"`;
    const wide = document.documentElement.scrollWidth;
    if (wide > innerWidth + 1) out.push(`the page is ${wide} px wide in ${innerWidth}`);
    const high = document.documentElement.scrollHeight;
    if (high > innerHeight + 1) out.push(`the page is ${high} px high in ${innerHeight}`);
    const visible = (e: Element): boolean => {
      const r = e.getBoundingClientRect(),
        s = getComputedStyle(e);
      return r.width > 1 && r.height > 1 && s.visibility !== "hidden" && s.opacity !== "0";
    };
    const unseen = (e: Element): boolean =>
      !e.checkVisibility() || !!e.closest(".unseen, svg, option, .sayplace, video");
    // Text in a box that hides what does not fit.
    for (const e of document.querySelectorAll<HTMLElement>("body *")) {
      if (unseen(e) || !visible(e)) continue;
      const s = getComputedStyle(e);
      const text = [...e.childNodes].some((n) => n.nodeType === 3 && n.nodeValue!.trim());
      if (!text) continue;
      if (
        (s.overflowX === "hidden" || s.overflowX === "clip") &&
        e.scrollWidth > e.clientWidth + 1 &&
        s.display !== "inline"
      )
        out.push(`${name(e)} is cut off at its side`);
      if (
        (s.overflowY === "hidden" || s.overflowY === "clip") &&
        e.scrollHeight > e.clientHeight + 2 &&
        s.display !== "inline"
      )
        out.push(`${name(e)} is cut off below`);
      // Text that runs out of the window.
      const range = document.createRange();
      range.selectNodeContents(e);
      const scroller = e.closest<HTMLElement>(".tabs, .scrollx, .zoomed, .drawn");
      if (!scroller)
        for (const r of range.getClientRects())
          if (r.width > 0 && (r.right > innerWidth + 1 || r.left < -1)) {
            out.push(
              `${name(e)} runs out of the window: ${Math.round(r.left)} to ${Math.round(r.right)}`,
            );
            break;
          }
      // Text that runs out of the cell that holds it, into its neighbour.
      const cell = e.closest<HTMLElement>(
        ".strip > *, .tb > *, .cells > *, .guides > *, .btn, .choice label, .tabs > *, .steps .n, .live",
      );
      if (cell && !scroller) {
        const c = cell.getBoundingClientRect();
        for (const r of range.getClientRects())
          if (
            r.width > 0 &&
            (r.right > c.right + 1.5 ||
              r.left < c.left - 1.5 ||
              r.top < c.top - 1.5 ||
              r.bottom > c.bottom + 3)
          ) {
            out.push(`${name(e)} runs out of ${name(cell)}`);
            break;
          }
      }
    }
    // Parts of a row beside each other, never in one place.
    for (const row of document.querySelectorAll<HTMLElement>(
      ".row, .top, .head, .tb, .strip, .guides, .shutterrow",
    )) {
      const kids = [...row.children].filter(
        (k) => visible(k) && !unseen(k) && getComputedStyle(k).position === "static",
      );
      const textBox = (k: Element): DOMRect => {
        const range = document.createRange();
        range.selectNodeContents(k);
        const r = range.getBoundingClientRect();
        return r.width > 0 ? r : k.getBoundingClientRect();
      };
      for (let i = 0; i < kids.length; i++)
        for (let j = 0; j < i; j++) {
          const a = textBox(kids[i]!),
            b = textBox(kids[j]!);
          const w = Math.min(a.right, b.right) - Math.max(a.left, b.left),
            h = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
          if (w > 2 && h > 4) out.push(`${name(kids[j]!)} and ${name(kids[i]!)} lie on each other`);
        }
    }
    // What is written on a photo stands beside what lies over it.
    for (const over of document.querySelectorAll(".photo > button"))
      for (const e of document.querySelectorAll(".photo .plaque")) {
        const a = over.getBoundingClientRect(),
          b = e.getBoundingClientRect();
        if (a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom)
          out.push(`${name(over)} lies over ${name(e.parentElement!)}`);
      }
    return [...new Set(out)];
  });

declare const globalThis: { amiss: string[] };
/** Notes each drawing that is asked for without the button that lies over it, where it is in that frame. */
function asksWithTheButton(): void {
  globalThis.amiss = [];
  const post = Worker.prototype.postMessage;
  Worker.prototype.postMessage = function (m: unknown, ...more: []) {
    const { name, json } = m as { name?: string; json?: string };
    const { size, covered } = (name === "drawing" ? JSON.parse(json!) : {}) as {
      size?: [number, number];
      covered?: [number, number, number, number][];
    };
    if (size && covered && Math.abs(size[0] - (covered[0]?.[2] ?? 0) - 8) > 1)
      globalThis.amiss.push(`in ${size.join(" by ")}: ${JSON.stringify(covered)}`);
    post.call(this, m, ...more);
  };
}

/** What the strip or the title block covers when it is the last thing on the screen, scrolled to. */
const covered = (page: Page): Promise<string[]> =>
  page.evaluate(async () => {
    const out: string[] = [];
    const scrollers = [document.scrollingElement!, ...document.querySelectorAll(".main, .scrolls")];
    for (const s of scrollers) s.scrollTo(0, s.scrollHeight);
    await new Promise((r) => requestAnimationFrame(() => r(undefined)));
    const strip = document.querySelector(".strip")!.getBoundingClientRect();
    const all = [
      ...document.querySelectorAll<HTMLElement>(
        "main a, main button, main p, main li, main input, main label",
      ),
    ].filter(
      (e) =>
        e.checkVisibility() && e.getBoundingClientRect().height > 1 && !e.closest("svg, .unseen"),
    );
    const last = all.reduce<HTMLElement | undefined>(
      (a, b) => (!a || b.getBoundingClientRect().bottom > a.getBoundingClientRect().bottom ? b : a),
      undefined,
    );
    // On its side the phone has the strip beside the screen, not below.
    const floor = strip.width < innerWidth - 2 ? innerHeight : Math.min(strip.top, innerHeight);
    if (last && last.getBoundingClientRect().bottom > floor + 1)
      out.push(`"${last.textContent?.slice(0, 40)}" lies under the strip`);
    for (const s of scrollers) s.scrollTo(0, 0);
    return out;
  });

async function look(page: Page, at: string, screen: string): Promise<void> {
  for (const [i, s] of sizes.entries()) {
    await page.setViewportSize({ width: s.width, height: s.height });
    // Opened at the smallest, then turned and enlarged as a phone is.
    if (i === 0) await visit(page, at);
    await page.evaluate((t) => {
      document.documentElement.style.fontSize = t === 100 ? "" : `${t}%`;
    }, s.text);
    await expect(page.locator("main")).toBeVisible();
    await expect(page.getByText("Opening the record.")).toHaveCount(0);
    if (at.startsWith("/photo/")) await expect(page.getByRole("tab").first()).toBeVisible();
    if (screen === "snap")
      await expect(page.locator(".words")).toContainText("flatter", { timeout: 60_000 });
    // The layout follows the new size some frames later, on a busy machine many.
    await page.waitForTimeout(150);
    await expect
      .configure({ soft: true })
      .poll(async () => [...(await wrong(page)), ...(await covered(page))], {
        message: `${screen}, ${s.name}`,
        timeout: 5_000,
      })
      .toEqual([]);
    if (process.env["LOOK"])
      await page.screenshot({ path: `${process.env["LOOK"]}/${screen}-${s.name}.png` });
  }
}

test("nothing is cut off or covered at any size", async ({ page }) => {
  test.setTimeout(900_000);
  await page.addInitScript(asksWithTheButton);
  await page.goto(laptop.url + "/sample");
  await page.waitForURL("**/parts");
  await page.getByRole("link", { name: /Corner gusset, left/ }).click();
  await page.waitForURL("**/part/*");
  const part = new URL(page.url()).pathname;
  await visit(page, `${part}/snap?sample`);
  await page.waitForURL("**/photo/*");
  await named(page);
  const photo = new URL(page.url()).pathname;
  const place = await (async () => {
    await visit(page, part);
    return (await page.locator("a.row[href^='/location/']").first().getAttribute("href"))!;
  })();
  // A long name, and a hundred locations.
  await visit(page, "/part/new");
  await page
    .getByLabel("Name", { exact: true })
    .fill("Baggage hatch frame, left forward corner gusset with doubler, upper side");
  await page
    .getByLabel("Drawing reference")
    .fill("BH-112 sheet 14 revision C, note 5 and detail K");
  await page.getByLabel("Size").fill("-4");
  await expect(page.getByText(/^D 3\.1/)).toBeVisible();
  await button(page, "Add the part").click();
  await page.waitForURL("**/part/*/layout");
  const many = /\/part\/[^/]+/.exec(page.url())![0];
  await page.getByRole("radio", { name: "grid" }).check();
  await page.getByLabel("across").fill("10");
  await page.getByLabel("down").fill("10");
  const picture = page.locator(".layout svg").first();
  const box = (await picture.boundingBox())!;
  for (const k of [0.15, 0.85])
    await picture.click({ position: { x: box.width * k, y: box.height * k } });
  await button(page, "Add 100 locations").click();
  await page.waitForURL("**" + many);
  // What was saved is said beside the strip, not over it.
  await page.setViewportSize({ width: 844, height: 390 });
  await expect(page.locator(".sayplace > div")).toBeVisible();
  const over = await page.evaluate(() => {
    const at = (of: string) => document.querySelector(of)!.getBoundingClientRect();
    return at(".sayplace > div").right - at(".strip").left;
  });
  expect.soft(over).toBeLessThanOrEqual(1);
  // Where it is said over the screen's end, that can be scrolled out from under it.
  await page.setViewportSize({ width: 390, height: 844 });
  const under = await page.evaluate(() => {
    document.querySelector(".main")!.scrollTo(0, 1e6);
    const said = document.querySelector(".sayplace > div")!.getBoundingClientRect();
    const ends = [...document.querySelectorAll("main a.row, main button")].map(
      (e) => e.getBoundingClientRect().bottom,
    );
    return Math.max(...ends) - said.top;
  });
  expect.soft(under).toBeLessThanOrEqual(1);
  const only = process.env["ONLY_SCREEN"];
  for (const [screen, at] of [
    ["parts", "/parts"],
    ["part", part],
    ["many", many],
    ["snap", `${part}/snap`],
    ["photo", photo],
    ["place", place],
    ["gauge", `${place}/gauge`],
    ["decide", `${place}/decide`],
    ["rework", `${place}/rework`],
    ["work", "/work"],
    ["settings", "/settings"],
    ["start", "/start"],
    ["cards", "/cards"],
    ["layout", `${many}/layout`],
    ["limits", `${part}/limits`],
    ["unsent", "/unsent"],
  ] as const)
    if (!only || only.split(",").includes(screen)) await look(page, at, screen);
  expect(await page.evaluate(() => globalThis.amiss)).toEqual([]);
});
