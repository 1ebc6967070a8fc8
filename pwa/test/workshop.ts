// What people do through the screens in more than one test.
import { expect, type Page } from "@playwright/test";
import { readFileSync } from "node:fs";
import { root } from "./goside";
import type { Laptop } from "./laptop";

const dev08 = readFileSync(root + "testdata/photos/dev-08.jpg");
let taken = 0;

/** How many fasteners stand on the photo dev-08. */
export const FASTENERS = (
  JSON.parse(readFileSync(root + "testdata/photos/dev-08.json", "utf8")) as { fasteners: unknown[] }
).fasteners.length;

export const button = (page: Page, name: string | RegExp) =>
  page.getByRole("button", { name, exact: typeof name === "string" });

/**
 * Goes to an address within the app as it runs, as a browser's list of visits does; back leads where
 * it does from an address that was opened here. Opening it with goto starts the app and its Go side
 * once more, more than a second of a processor.
 */
export const turn = (page: Page, to: string): Promise<void> =>
  page.evaluate(async (to) => {
    const state = { depth: 0 };
    history.pushState(state, "", to);
    dispatchEvent(new PopStateEvent("popstate", { state }));
    for (let i = 0; i < 2; i++) await new Promise((r) => requestAnimationFrame(r)); // it is drawn
  }, to);

/** Goes there likewise, and waits until the record is read. */
export async function visit(page: Page, to: string): Promise<void> {
  await turn(page, to);
  await expect(page.locator("main")).toBeVisible();
  await expect(page.getByText("Opening the record.")).toHaveCount(0, { timeout: 30_000 });
}

export async function pairs(
  page: Page,
  laptop: Laptop,
  code: string,
  name: string,
  you = "Ines Sorel",
): Promise<void> {
  page.on("dialog", (d) => void d.accept()); // the photos of the tests are older than their projects
  await page.goto(laptop.url + "/pair");
  await page.getByLabel("Code").fill(code);
  await page.getByLabel("Name of this phone").fill(name);
  await page.getByLabel("Your name").fill(you);
  await button(page, "Pair").click();
  await page.waitForURL("**/start");
}

/** What the laptop holds, by kind: the entries of all projects, or of the newest alone. */
export const there = (page: Page, newest = false): Promise<Record<string, number>> =>
  page.evaluate(async (newest) => {
    const h = (await (await fetch("/api/health", { cache: "no-store" })).json()) as {
      entries: number;
      photos: number;
      missing_photos?: number;
      faults?: unknown[];
    };
    const all: { kind: string; id: string; project?: string }[] = [];
    for (let after = "", more = true; more;) {
      const p = (await (
        await fetch(`/api/entries?after=${encodeURIComponent(after)}`, { cache: "no-store" })
      ).json()) as { entries: typeof all; cursor: string; more: boolean };
      all.push(...p.entries);
      ({ cursor: after, more } = p);
    }
    const project = all.filter((e) => e.kind === "project").at(-1)?.id;
    const kinds: Record<string, number> = {};
    for (const e of all)
      if (!newest || e.project === project) kinds[e.kind] = (kinds[e.kind] ?? 0) + 1;
    return {
      ...kinds,
      entries: h.entries,
      photos: h.photos,
      missing: h.missing_photos ?? 0,
      faults: h.faults?.length ?? 0,
    };
  }, newest);

/** What the tests read of an entry. */
export interface Kept<Data> {
  id: string;
  by: string;
  location?: string;
  data: Data;
}

/** The entries of a kind that the laptop holds; those of a location alone, if one is named. */
export const kept = <Data>(page: Page, kind: string, location?: string): Promise<Kept<Data>[]> =>
  page.evaluate(
    async ([kind, location]) => {
      const found: Kept<Data>[] = [];
      for (let after = "", more = true; more;) {
        const p = (await (
          await fetch(`/api/entries?after=${encodeURIComponent(after)}`, { cache: "no-store" })
        ).json()) as { entries: (Kept<Data> & { kind: string })[]; cursor: string; more: boolean };
        found.push(
          ...p.entries.filter(
            (e) => e.kind === kind && (location === undefined || e.location === location),
          ),
        );
        ({ cursor: after, more } = p);
      }
      return found;
    },
    [kind, location] as const,
  );

/** The rows of the part's list: tag, verdict, reading. */
export const rows = async (page: Page): Promise<string[]> =>
  (await page.locator("a.row[href^='/location/']").allInnerTexts()).map((t) =>
    t.replace(/\s+/g, " "),
  );

/** Waits until the app is on the phone. */
export const onPhone = (page: Page): Promise<unknown> =>
  page.evaluate(async () => {
    await navigator.serviceWorker.ready;
    while (!navigator.serviceWorker.controller) await new Promise((r) => setTimeout(r, 50));
  });

/** Says which location the fastener is that the result asks about. */
export async function tells(page: Page, tag: string): Promise<void> {
  await page
    .locator(".which")
    .getByRole("button", { name: new RegExp(`(^|, )${tag}(,|$)`) })
    .click();
}

/** Answers which rivets of dev-08 these are, left to right from R1, as often as the result asks. */
export async function named(page: Page): Promise<void> {
  await expect(page.getByRole("tab").nth(1)).toBeVisible({ timeout: 90_000 });
  const question = page.locator(".which h2"),
    free = page.locator("nav button:not([aria-disabled='true'])").filter({ hasText: "Save" });
  for (;;) {
    await expect(question.or(free)).toHaveCount(1, { timeout: 60_000 });
    if ((await question.count()) === 0) return;
    const asked = await question.innerText();
    await tells(page, { A: "R1", B: "R2", C: "R3" }[/is (\w)\?/.exec(asked)![1]!]!);
    await expect(question.filter({ hasText: asked })).toHaveCount(0);
  }
}

/** Takes dev-08 in as a photo of the part, each time as another file: none of it was saved before. */
export async function snaps(page: Page, part: string, query = ""): Promise<void> {
  await visit(page, `${part}/snap${query}`);
  await takesIn(page);
}

/** Takes it in where the camera stands. */
export async function takesIn(page: Page): Promise<void> {
  const buffer = Buffer.concat([dev08, Buffer.from([taken++])]);
  await page
    .locator("input[type=file]")
    .last()
    .setInputFiles({ name: "dev-08.jpg", mimeType: "image/jpeg", buffer });
  await page.waitForURL("**/photo/*");
}

/** Opens the sample and gives the path of its part that waits for a photo. */
export async function sample(page: Page, laptop: Laptop): Promise<string> {
  await page.goto(laptop.url + "/sample");
  await page.waitForURL("**/parts");
  await page.getByRole("link", { name: /Corner gusset, left/ }).click();
  await page.waitForURL("**/part/*");
  return new URL(page.url()).pathname;
}

/** Measures the sample's photo and names its rivets; leaves the page on the result, whose path it gives. */
export async function snapsSample(page: Page, part: string): Promise<string> {
  await visit(page, `${part}/snap?sample`);
  await page.waitForURL("**/photo/*");
  await named(page);
  return new URL(page.url()).pathname;
}

/** Saves a photo that lacks one of its part's row: the camera comes next, and back is the part. */
export async function saves(page: Page, part: string): Promise<void> {
  await button(page, "Save").click();
  await page.waitForURL(`**${part}/snap?next=*`);
  await page.locator(".tb .back").click();
  await page.waitForURL("**" + part);
}

/** A new phone with a project, a card and a part whose path it gives. */
export async function setUp(page: Page, laptop: Laptop): Promise<string> {
  await pairs(page, laptop, laptop.link.split("#")[1]!, "Bench phone");
  await page.getByRole("link", { name: "Name the project" }).first().click();
  return begins(page);
}

/** Names the project, measures its card and lays out its part, whose path it gives. */
export async function begins(page: Page, name = "Corner gusset, left"): Promise<string> {
  await newProject(page);
  await visit(page, "/cards/new");
  await page.getByLabel("Line across").fill("149.55");
  await page.getByLabel("Line along").fill("149.62");
  await page.getByLabel("Thickness, with backing").fill("0.255");
  await button(page, "Save").click();
  await page.waitForURL("**/cards");
  await expect(page.getByText("in use", { exact: true })).toBeVisible();

  await visit(page, "/part/new");
  await page.getByLabel("Name", { exact: true }).fill(name);
  await page.getByLabel("Drawing reference").fill("HF-12 sheet 2");
  await page.getByLabel("Size").fill("-6");
  await expect(page.getByText(/^D 4\.76/)).toBeVisible();
  await button(page, "Add the part").click();
  await page.waitForURL("**/part/*/layout");
  const part = /\/part\/([^/]+)/.exec(page.url())![1]!;

  await page.getByRole("radio", { name: "row" }).check();
  await page.getByLabel("How many").first().fill(String(FASTENERS));
  const picture = page.locator(".layout svg").first();
  const box = (await picture.boundingBox())!;
  for (const x of [0.2, 0.8])
    await picture.click({ position: { x: box.width * x, y: box.height / 2 } });
  await button(page, `Add ${FASTENERS} locations`).click();
  await page.waitForURL(`**/part/${part}`);
  await expect(page.locator("a.row[href^='/location/']")).toHaveCount(FASTENERS);
  return `/part/${part}`;
}

/** The drawing's own limits of the part, less strict than the published ones and confirmed. */
export async function drawingLimits(
  page: Page,
  part: string,
  limits: [what: string, least: string][],
): Promise<void> {
  await visit(page, `${part}/limits`);
  for (const [i, [what, least]] of limits.entries()) {
    await button(page, "Add a limit").click();
    await page.getByLabel("Quantity", { exact: true }).nth(i).selectOption({ label: what });
    await page.getByLabel("Least", { exact: true }).nth(i).fill(least);
  }
  await page.getByLabel("Short name").fill("HF-12");
  await page.getByLabel("Drawing reference").fill("HF-12 sheet 2");
  await expect(page.getByRole("checkbox")).toHaveCount(limits.length);
  for (const box of await page.getByRole("checkbox").all()) await box.check();
  await button(page, "Save").click();
  await page.waitForURL("**" + part);
}

export const unsent = (page: Page) => page.locator(".tb a.cell b");

/** A code for another device, as the laptop's page makes it. */
export const invites = (page: Page, role: "builder" | "inspector"): Promise<string> =>
  page.evaluate(async (role) => {
    const r = await fetch("/api/pairings", {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify({ role }),
    });
    return ((await r.json()) as { code: string }).code;
  }, role);

/** WCAG 2.2, 2.5.8 asks for targets of 24 px; hands with gloves on for 44. */
const LEAST_PX = 44;

/** What is smaller than a gloved finger. Choices and ticks are pressed by their whole label. */
export const small = (page: Page): Promise<string[]> =>
  page.evaluate(
    (least) =>
      [
        ...document.querySelectorAll("button, a[href], input, select, textarea, summary, label"),
      ].flatMap((e) => {
        const label =
          e instanceof HTMLInputElement &&
          (e.type === "radio" || e.type === "checkbox" || e.type === "file")
            ? e.closest("label")
            : e;
        if (!label || (e instanceof HTMLLabelElement && e.htmlFor) || label.closest("svg"))
          return [];
        const r = label.getBoundingClientRect();
        return r.width > 0 && (r.width < least || r.height < least)
          ? [
              `${e.tagName} "${label.textContent?.slice(0, 30)}" ${Math.round(r.width)} × ${Math.round(r.height)}`,
            ]
          : [];
      }),
    LEAST_PX,
  );

/** Names a project, which is the one at hand from then on. */
export async function newProject(page: Page): Promise<void> {
  await visit(page, "/project/new");
  await page.getByLabel("Name", { exact: true }).fill("Tarn 2");
  await page.getByLabel("Aircraft", { exact: true }).fill("two-seat amphibian");
  await button(page, "Create the project").click();
  await page.waitForURL("**/start");
}

/** Adds a part of -6 driven rivets without locations, and gives its path. */
export async function newAngle(page: Page): Promise<string> {
  await visit(page, "/part/new");
  await page.getByLabel("Name", { exact: true }).fill("Angle");
  await page.getByLabel("Size").fill("-6");
  await expect(page.getByText(/^D 4\.76/)).toBeVisible();
  await button(page, "Add the part").click();
  await page.waitForURL("**/part/*/layout");
  return /\/part\/[^/]+/.exec(page.url())![0];
}
