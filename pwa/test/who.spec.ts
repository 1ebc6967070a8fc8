import { expect, test } from "@playwright/test";
import { Laptop } from "./laptop";
import { button, pairs } from "./workshop";

// A record for an inspector names a person beside each entry, not a phone, without a visit to the
// settings; a name that was typed there stays.

let laptop: Laptop;
test.use({ serviceWorkers: "block", actionTimeout: 15_000 });
test.beforeAll(async () => {
  laptop = await Laptop.start();
});
test.afterAll(async () => laptop.end());

test("the builder that a new project names stands beside this phone's entries", async ({
  page,
}) => {
  await pairs(page, laptop, laptop.link.split("#")[1]!, "Bench phone", "");
  const make = async (name: string, builder: string): Promise<void> => {
    await page.goto(laptop.url + "/project/new");
    await page.getByLabel("Name", { exact: true }).fill(name);
    await page.getByLabel("Builder").fill(builder);
    await button(page, "Create the project").click();
    await page.waitForURL("**/start");
  };
  const authors = () =>
    page.evaluate(async () => {
      const h = (await (await fetch("/api/entries?after=", { cache: "no-store" })).json()) as {
        entries: { kind: string; by: string; data: { name?: string } }[];
      };
      return h.entries.filter((e) => e.kind === "project").map((e) => [e.data.name, e.by]);
    });
  const kept = () =>
    page.evaluate(async () => {
      const get = <T>(r: IDBRequest<T>) =>
        new Promise<T>((done) => {
          r.onsuccess = () => done(r.result);
        });
      const names: unknown[] = [];
      for (const { name } of await indexedDB.databases()) {
        const db = await get(indexedDB.open(name!));
        if (db.objectStoreNames.contains("settings"))
          names.push(await get(db.transaction("settings").objectStore("settings").get("by")));
        db.close();
      }
      return names;
    });
  await make("Tarn 2", "Ines Sorel");
  await expect.poll(authors).toEqual([["Tarn 2", "Ines Sorel"]]);
  await page.goto(laptop.url + "/settings");
  await expect(page.getByLabel("Your name")).toHaveValue("Ines Sorel");
  await page.getByLabel("Your name").fill("Odo Sorel");
  await expect.poll(kept).toContain("Odo Sorel"); // before the page is left
  await make("Tarn 3", "Ines Sorel");
  await expect.poll(authors).toEqual([
    ["Tarn 2", "Ines Sorel"],
    ["Tarn 3", "Odo Sorel"],
  ]);
});
