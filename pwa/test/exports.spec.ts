import { expect, test, type Page } from "@playwright/test";
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { root } from "./goside";
import { Laptop } from "./laptop";
import { named, saves, visit } from "./workshop";

// What leaves the house, made by the laptop and by the phone alone.

let laptop: Laptop;
test.use({ serviceWorkers: "allow" });
test.beforeEach(async () => {
  laptop = await Laptop.start();
});
test.afterEach(async () => laptop.end());

const dir = mkdtempSync(join(tmpdir(), "bucktail-exports-"));
test.afterAll(() => rmSync(dir, { recursive: true, force: true }));

/** Asks for a file and gives its path and what the screen says of it. */
async function make(
  page: Page,
  name: string,
): Promise<{ path: string; bytes: Buffer; said: string }> {
  const coming = page.waitForEvent("download", { timeout: 60_000 });
  await page.getByRole("button", { name: new RegExp(`^${name} `) }).click();
  const d = await coming;
  const path = join(dir, d.suggestedFilename());
  await d.saveAs(path);
  return {
    path,
    bytes: readFileSync(path),
    said: await page.getByRole("status").filter({ hasText: d.suggestedFilename() }).innerText(),
  };
}

const verify = (path: string): string =>
  execFileSync(root + "build/bucktail", ["verify", path], { encoding: "utf8" });

/** Everything of the app is on the phone. */
const onPhone = (page: Page): Promise<unknown> =>
  page.evaluate(async () => {
    await navigator.serviceWorker.ready;
    while (!navigator.serviceWorker.controller) await new Promise((r) => setTimeout(r, 50));
  });

test("with no laptop at all the phone makes every file, with the photos that it has", async ({
  page,
}) => {
  await page.goto(laptop.url + "/sample");
  await page.waitForURL("**/parts");
  await page.getByRole("link", { name: /Corner gusset, left/ }).click();
  await page.waitForURL("**/part/*");
  const part = new URL(page.url()).pathname;
  await page.goto(`${laptop.url}${part}/snap?sample`);
  await page.waitForURL("**/photo/*");
  await named(page);
  await saves(page, part);
  await onPhone(page);
  await laptop.off();

  await page.goto(`${laptop.url}/exports?part=${part.split("/").pop()}`);
  const bundle = await make(page, "Bundle");
  expect(bundle.said).toContain("Made on this phone.");
  expect(bundle.said).not.toContain("only on the laptop");
  expect(verify(bundle.path)).toContain("The bundle is whole");
  expect((await make(page, "Report")).bytes.subarray(0, 5).toString()).toBe("%PDF-");
  expect((await make(page, "Inspector's form")).bytes.subarray(0, 5).toString()).toBe("%PDF-");
  const csv = (await make(page, "Table of readings")).bytes.toString();
  const record = JSON.parse((await make(page, "Record")).bytes.toString()) as {
    parts: {
      locations: { attempts?: { findings?: { photo?: string; readings: unknown[] }[] }[] }[];
    }[];
  };
  const findings = record.parts.flatMap((p) =>
    p.locations.flatMap((l) => (l.attempts ?? []).flatMap((a) => a.findings ?? [])),
  );
  expect(findings.length).toBeGreaterThan(1);
  expect(csv.trim().split("\r\n").length).toBe(
    1 + findings.reduce((n, f) => n + f.readings.length, 0),
  );

  // The photo itself goes; its preview stays.
  await page.evaluate(
    () =>
      new Promise<void>((resolve, reject) => {
        const open = indexedDB.open("bucktail-sample");
        open.onsuccess = () => {
          const tx = open.result.transaction("photos", "readwrite");
          const all = tx.objectStore("photos").openCursor();
          all.onsuccess = () => {
            const c = all.result;
            if (!c) return;
            const { original: _, ...rest } = c.value as Record<string, unknown>;
            c.update(rest);
            c.continue();
          };
          tx.oncomplete = () => {
            open.result.close();
            resolve();
          };
          tx.onerror = () => reject(tx.error);
        };
        open.onerror = () => reject(open.error);
      }),
  );
  const small = await make(page, "Report");
  expect(small.said).toContain(
    "1 photo is only on the laptop; small copies stand in the pictures for 1.",
  );
  expect(small.bytes.length).toBeGreaterThan(100_000); // with pictures
  const without = await make(page, "Bundle");
  expect(verify(without.path)).toContain("1 photo was not there when the bundle was made");

  await page.goto(laptop.url + "/cards");
  const coming = page.waitForEvent("download");
  await page.getByRole("button", { name: "Print the card page" }).click();
  expect((await coming).suggestedFilename()).toBe("bucktail-card-a4.pdf");
});

test("the laptop makes files while it is in reach, and what is not sent yet is never left out", async ({
  page,
}) => {
  await page.goto(laptop.url + "/pair");
  await page.getByLabel("Code").fill(laptop.link.split("#")[1]!);
  await page.getByLabel("Name of this phone").fill("Bench phone");
  await page.getByRole("button", { name: "Pair", exact: true }).click();
  await page.waitForURL("**/start");
  await visit(page, "/project/new");
  await page.getByLabel("Name", { exact: true }).fill("Tarn 2");
  await page.getByRole("button", { name: "Create the project" }).click();
  await page.waitForURL((u) => !u.pathname.startsWith("/project"));
  for (const name of ["Corner gusset, left", "Corner angle"]) {
    await visit(page, "/part/new");
    await page.getByLabel("Name", { exact: true }).fill(name);
    await page.getByLabel("Size").fill("-6");
    await page.getByRole("button", { name: "Add the part" }).click();
    await page.waitForURL((u) => !u.pathname.endsWith("/new"));
  }
  const parts = async (): Promise<string[]> =>
    (
      JSON.parse((await make(page, "Record")).bytes.toString()) as { parts: { name: string }[] }
    ).parts
      .map((p) => p.name)
      .sort();
  const send = async (): Promise<void> => {
    await visit(page, "/unsent");
    await page.getByRole("button", { name: "Try now" }).click();
    await expect(page.getByText("Everything is sent")).toBeVisible();
  };
  await send();
  await page.goto(laptop.url + "/exports");
  const bundle = await make(page, "Bundle");
  expect(bundle.said).toContain("Made by the laptop.");
  expect(verify(bundle.path)).toContain("The bundle is whole");
  expect(await parts()).toEqual(["Corner angle", "Corner gusset, left"]);
  await page.getByLabel("Chosen parts").check();
  await expect(page.getByRole("button", { name: "Make the report" })).toHaveAttribute(
    "aria-disabled",
    "true",
  );
  await page.getByLabel("Corner angle").check();
  expect(await parts()).toEqual(["Corner angle"]);

  await onPhone(page);
  await laptop.off();
  await page.goto(laptop.url + "/part/new");
  await page.getByLabel("Name", { exact: true }).fill("Hatch lid");
  await page.getByLabel("Size").fill("-4");
  await page.getByRole("button", { name: "Add the part" }).click();
  await page.waitForURL((u) => !u.pathname.endsWith("/new"));
  await page.goto(laptop.url + "/exports");
  const alone = await make(page, "Bundle");
  expect(alone.said).toContain("Made on this phone.");
  expect(verify(alone.path)).toContain("The bundle is whole");
  expect(await parts()).toEqual(["Corner angle", "Corner gusset, left", "Hatch lid"]);
});
