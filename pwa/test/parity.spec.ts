import { expect, test, type Page } from "@playwright/test";
import { execFileSync } from "node:child_process";
import { readFileSync, readdirSync } from "node:fs";
import type { CardData, Document, Kind, Sight } from "../src/bridge/types";
import { ask, root, startGoSide } from "./goside";
import { Laptop } from "./laptop";

/** What stands on a rendered photo, from the truth beside it. */
interface Truth {
  fasteners: { type: string; dash: string }[];
}

// One Go side answers all of them, as on a phone: compiled anew for each, it costs nearly twice the time.
let laptop: Laptop;
let page: Page;
test.beforeAll(async ({ browser }) => {
  laptop = await Laptop.start();
  page = await browser.newPage();
  await page.goto(laptop.url);
  await startGoSide(page);
});
test.afterAll(async () => {
  await page.close();
  await laptop.end();
});

/** Readings agree to this, mm. */
const TOLERANCE_MM = 1e-6;

function native(photo: string, kind: Kind, size: string, ...more: string[]): Document {
  // Status 1 says that something asks for help: no failure here.
  const args = ["measure", "--json", "--what", kind, "--rivet", size, ...more, photo];
  try {
    return JSON.parse(
      execFileSync(root + "build/bucktail", args, {
        encoding: "utf8",
        maxBuffer: 64 << 20,
        stdio: ["ignore", "pipe", "ignore"],
      }),
    ) as Document;
  } catch (e) {
    const { status, stdout } = e as { status: number; stdout: string };
    if (status !== 1) throw e;
    return JSON.parse(stdout) as Document;
  }
}

/** Compares JSON, numbers with a tolerance. */
function same(a: unknown, b: unknown, at: string): string[] {
  if (typeof a === "number" && typeof b === "number")
    return Math.abs(a - b) <= TOLERANCE_MM * Math.max(1, Math.abs(b))
      ? []
      : [`${at}: ${a} and ${b}`];
  if (a && b && typeof a === "object" && typeof b === "object") {
    const keys = new Set([...Object.keys(a), ...Object.keys(b)]);
    return [...keys].flatMap((k) =>
      same((a as Record<string, unknown>)[k], (b as Record<string, unknown>)[k], `${at}.${k}`),
    );
  }
  return a === b ? [] : [`${at}: ${JSON.stringify(a)} and ${JSON.stringify(b)}`];
}

const photos = readdirSync(root + "testdata/photos").filter((n) => n.endsWith(".jpg"));
test("there are rendered photos to compare", () => expect(photos.length).toBeGreaterThan(3));

const what = (photo: string): { kind: Kind; size: string } => {
  const t = JSON.parse(
    readFileSync(`${root}testdata/photos/${photo.replace(/\.jpg$/, ".json")}`, "utf8"),
  ) as Truth;
  const f = t.fasteners[0];
  if (!f) throw new Error(`${photo}: its truth names no fastener`);
  const kinds: Record<string, Kind> = {
    shop: "shop-head",
    universal: "universal-head",
    pulled: "pulled-head",
    flush: "flush-head",
    hole: "hole",
  };
  const kind = Object.entries(kinds).find(([k]) => f.type.includes(k))?.[1];
  if (!kind) throw new Error(`${photo}: type ${f.type}`);
  return { kind, size: f.dash };
};

/** The photo that is measured with a card's own scale; the others with a usual one. */
const carded = "dev-08.jpg";

for (const photo of photos.filter((n) => n !== carded)) {
  test(`${photo} reads the same in the browser and natively`, async () => {
    const { kind, size } = what(photo);
    const name = `${root}testdata/photos/${photo}`;
    const want = native(name, kind, size);
    const options = { spec: { kind, nominal_mm: want.spec.nominal_mm }, size, photo: want.photo };
    const { told, ms } = await ask<Document>(page, "measure", options, readFileSync(name));
    console.log(
      `${photo}: ${told.locations.length} fasteners, ${Math.round(ms)} ms from bytes to verdict`,
    );
    expect(
      same(told, want, "document")
        .map((s) => s.slice(0, 200))
        .slice(0, 10),
    ).toEqual([]);
    expect(want.locations.length).toBeGreaterThan(0);
  });
}

test(`${carded} reads the same with what the app keeps of its card, U too`, async () => {
  const photo = carded;
  const { kind, size } = what(photo);
  const name = `${root}testdata/photos/${photo}`;
  const card: CardData = {
    sheet: "3",
    check_nominal_mm: 150,
    check_across_mm: 149.55,
    check_along_mm: 149.62,
    check_U_mm: 0.4,
    thickness_mm: 0.255,
    thickness_U_mm: 0.06,
  };
  const over = (mm: number): number => mm / card.check_nominal_mm;
  const want = native(
    name,
    kind,
    size,
    `--card-scale=${over(card.check_across_mm)},${over(card.check_along_mm)},${over(card.check_U_mm)}`,
    `--card-thickness=${card.thickness_mm},${card.thickness_U_mm}`,
  );
  const options = {
    spec: { kind, nominal_mm: want.spec.nominal_mm },
    size,
    photo: want.photo,
    calibration: card,
  };
  const { told } = await ask<Document>(page, "measure", options, readFileSync(name));
  expect(same(told, want, "document").slice(0, 10)).toEqual([]);
  // The photo that is still decoded there gives the same; another one is not taken for it.
  expect(
    (await ask<Document>(page, "measure.kept", { ...options, sha256: told.sha256 })).told,
  ).toEqual(told);
  await expect(ask(page, "measure.kept", { ...options, sha256: "0".repeat(64) })).rejects.toThrow(
    "not-at-hand",
  );
  // With the usual uncertainties U is another: what was given is what was taken.
  const usual = native(
    name,
    kind,
    size,
    `--card-scale=${over(card.check_across_mm)},${over(card.check_along_mm)}`,
    `--card-thickness=${card.thickness_mm}`,
  );
  expect(same(told, usual, "document")).not.toEqual([]);
});

test("the live view says what to do, at a pace that a hand can follow", async () => {
  // The photo as a video shows it: 1280 px wide.
  const b64 = readFileSync(`${root}testdata/photos/dev-08.jpg`).toString("base64");
  const run = await page.evaluate(async (b64) => {
    const bitmap = await createImageBitmap(
      new Blob([Uint8Array.from(atob(b64), (c) => c.charCodeAt(0))], { type: "image/jpeg" }),
    );
    const canvas = document.createElement("canvas");
    canvas.width = 1280;
    canvas.height = Math.round((bitmap.height * 1280) / bitmap.width);
    const c = canvas.getContext("2d", { willReadFrequently: true })!;
    const ask = (
      window as unknown as { ask: (n: string, q: unknown, b: ArrayBuffer) => Promise<unknown> }
    ).ask;
    const frame = async (draw: () => void, i: number): Promise<unknown> => {
      draw();
      return ask(
        "guide",
        { w: canvas.width, h: canvas.height, still: bitmap.width / 1280, at_ms: i * 66 },
        c.getImageData(0, 0, canvas.width, canvas.height).data.buffer as ArrayBuffer,
      );
    };
    const whole = (): void => c.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
    const first = await frame(whole, 0);
    const began = performance.now();
    const n = 20;
    for (let i = 1; i <= n; i++) await frame(whole, i);
    const fps = (n * 1000) / (performance.now() - began);
    const small = await frame(() => {
      c.fillRect(0, 0, 9999, 9999);
      c.drawImage(bitmap, 400, 300, 480, 360);
    }, 100);
    const none = await frame(() => c.fillRect(0, 0, 9999, 9999), 101);
    return { first, small, none, fps };
  }, b64);
  console.log(`live view: ${run.fps.toFixed(1)} frames a second`);
  const [first, small, none] = [run.first, run.small, run.none] as Sight[];
  expect(first!.seen).toBeGreaterThan(5);
  // The truth of dev-08: 15° of tilt, 2592 px wide.
  expect(["tilted", "far"]).toContain(first!.advice);
  expect(Math.abs(first!.tilt_deg - 15)).toBeLessThan(6);
  expect(["far", "no-card"]).toContain(small!.advice);
  expect(none!.advice).toBe("no-card");
});
