// What builder and inspector do in the inspector's tests, and what is there then.
import type { Page } from "@playwright/test";
import { button, visit } from "./workshop";

/** By calipers the head's height, which no photo shows. */
export async function gauge(page: Page, at: string): Promise<void> {
  await visit(page, new URL(at).pathname + "/gauge");
  await page.getByLabel("Instrument").fill("calipers 150 mm");
  await page.getByLabel("What was measured").selectOption("head_height");
  await page.getByLabel("Value").fill("2.4");
  await button(page, "Save").click();
  await page.waitForURL(at);
}

export async function keep(page: Page, at: string, why: string): Promise<void> {
  await visit(page, new URL(at).pathname + "/decide");
  await page.getByRole("radio", { name: "Keep" }).check();
  await page.getByLabel("Reason").fill(why);
  await button(page, "Save").click();
  await page.waitForURL(at);
}

export const waiting = (page: Page) => page.getByRole("banner").locator("a.cell b");

/** The picture under the ink is there: its pixels are not one colour. */
export const seen = (page: Page): Promise<boolean> =>
  page.evaluate(() => {
    const imgs = [...document.querySelectorAll<HTMLImageElement>(".photo img")];
    return imgs.some((i) => {
      if (!i.complete || !i.naturalWidth) return false;
      const c = document.createElement("canvas"),
        g = c.getContext("2d")!;
      c.width = c.height = 16;
      g.drawImage(i, 0, 0, 16, 16);
      const d = g.getImageData(0, 0, 16, 16).data;
      return d.some((v, k) => k % 4 === 0 && Math.abs(v - d[0]!) > 30);
    });
  });

/** The pieces of photos on the disk. */
export const pieces = (page: Page): Promise<number> =>
  page.evaluate(
    () =>
      new Promise<number>((done) => {
        const r = indexedDB.open("bucktail");
        r.onsuccess = () => {
          const c = r.result.transaction("pieces").objectStore("pieces").count();
          c.onsuccess = () => {
            r.result.close();
            done(c.result);
          };
        };
      }),
  );

/** What a builder entered for an inspector; before it the photos that the laptop has, and lacks. */
export const entered = (page: Page) =>
  page.evaluate(async () => {
    const h = (await (await fetch("/api/health")).json()) as {
      photos: number;
      missing_photos?: number;
    };
    const all: {
      kind: string;
      role: string;
      data: {
        name?: string;
        number?: string;
        on_paper?: { photo: string; date: string; page: string };
      };
    }[] = [];
    for (let after = "", more = true; more;) {
      const p = (await (await fetch(`/api/entries?after=${encodeURIComponent(after)}`)).json()) as {
        entries: typeof all;
        cursor: string;
        more: boolean;
      };
      all.push(...p.entries);
      ({ cursor: after, more } = p);
    }
    return [
      [h.photos, h.missing_photos ?? 0],
      all
        .filter((e) => e.role === "builder" && (e.kind === "decision" || e.kind === "sign-off"))
        .map((e) => e.data),
    ] as const;
  });
