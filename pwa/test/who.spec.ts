import { expect, test } from "@playwright/test";
import { Laptop } from "./laptop";
import { button, kept, pairs, visit } from "./workshop";

// A record for an inspector names a person beside each entry, not a phone, without a visit to the
// settings; a name that was typed there stays.

let laptop: Laptop;
test.beforeAll(async () => {
  laptop = await Laptop.start();
});
test.afterAll(async () => laptop.end());

test("the builder that a new project names stands beside this phone's entries", async ({
  page,
}) => {
  await pairs(page, laptop, laptop.link.split("#")[1]!, "Bench phone", "");
  const make = async (name: string, builder: string): Promise<void> => {
    await visit(page, "/project/new");
    await page.getByLabel("Name", { exact: true }).fill(name);
    await page.getByLabel("Builder").fill(builder);
    await button(page, "Create the project").click();
    await page.waitForURL("**/start");
  };
  const authors = async () =>
    (await kept<{ name: string }>(page, "project")).map((e) => [e.data.name, e.by]);
  const typed = () =>
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
  await visit(page, "/settings");
  await expect(page.getByLabel("Your name")).toHaveValue("Ines Sorel");
  await page.getByLabel("Your name").fill("Odo Sorel");
  await expect.poll(typed).toContain("Odo Sorel"); // before the page is left
  await make("Tarn 3", "Ines Sorel");
  await expect.poll(authors).toEqual([
    ["Tarn 2", "Ines Sorel"],
    ["Tarn 3", "Odo Sorel"],
  ]);
});
