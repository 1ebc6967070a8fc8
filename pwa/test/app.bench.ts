import { expect, test } from "@playwright/test";
import { readFileSync } from "node:fs";
import type { Document } from "../src/bridge/types";
import { root, startGoSide } from "./goside";
import { Laptop } from "./laptop";

// How fast it is in a real browser: figures to compare with each other on one machine, `make app-bench`.

const ROUNDS = 5;
let laptop: Laptop;
test.use({ serviceWorkers: "allow" });
test.beforeAll(async () => {
  laptop = await Laptop.start();
});
test.afterAll(async () => laptop.end());

const median = (all: number[]): number => [...all].sort((a, b) => a - b)[all.length >> 1]!;
const told = (what: string, all: number[], unit: string): void =>
  console.log(
    `${what}: ${median(all).toFixed(unit === "ms" ? 0 : 1)} ${unit} (${Math.min(...all).toFixed(0)} to ${Math.max(...all).toFixed(0)}, ${all.length} rounds)`,
  );

type Ask = (name: string, question: unknown, bytes?: ArrayBuffer) => Promise<unknown>;
declare const window: { ask: Ask };
const photo = readFileSync(`${root}testdata/photos/dev-08.jpg`).toString("base64");

test("a photo of 8 MP, from its bytes to the verdict", async ({ page }) => {
  test.setTimeout(300_000);
  await page.goto(laptop.url);
  const { bootMS } = await startGoSide(page);
  const run = await page.evaluate(
    async ({ photo, rounds }) => {
      const bitmap = await createImageBitmap(
        new Blob([Uint8Array.from(atob(photo), (c) => c.charCodeAt(0))], { type: "image/jpeg" }),
      );
      const canvas = document.createElement("canvas");
      [canvas.width, canvas.height] = [3264, 2448];
      canvas.getContext("2d")!.drawImage(bitmap, 0, 0, 3264, 2448);
      const blob: Blob = await new Promise((r) => canvas.toBlob((b) => r(b!), "image/jpeg", 0.92));
      const ms: number[] = [];
      let read = 0;
      for (let i = 0; i < rounds; i++) {
        const bytes = await blob.arrayBuffer(),
          began = performance.now();
        const d = (await window.ask(
          "measure",
          { spec: { kind: "shop-head", nominal_mm: 4.7625 }, size: "6" },
          bytes,
        )) as Document;
        ms.push(performance.now() - began);
        read = d.locations.filter((l) => l.verdict).length;
      }
      return { ms, read };
    },
    { photo, rounds: ROUNDS },
  );
  console.log(`the measuring starts in ${bootMS.toFixed(0)} ms`);
  told("8 MP from bytes to verdict", run.ms, "ms");
  expect(run.read).toBeGreaterThan(0);
});

test("three photos of 12 MP of one place, to one answer", async ({ page }) => {
  test.setTimeout(300_000);
  await page.goto(laptop.url);
  await startGoSide(page);
  const views = ["a", "b", "c"].map((v) =>
    readFileSync(`${root}testdata/views/990108-${v}.jpg`).toString("base64"),
  );
  const run = await page.evaluate(
    async ({ views, rounds }) => {
      const large: [string, Blob][] = [];
      for (const view of views) {
        const bitmap = await createImageBitmap(
          new Blob([Uint8Array.from(atob(view), (c) => c.charCodeAt(0))], { type: "image/jpeg" }),
        );
        const canvas = document.createElement("canvas");
        [canvas.width, canvas.height] = [4032, 3024];
        canvas.getContext("2d")!.drawImage(bitmap, 0, 0, 4032, 3024);
        const blob: Blob = await new Promise((r) =>
          canvas.toBlob((b) => r(b!), "image/jpeg", 0.92),
        );
        const sum = new Uint8Array(await crypto.subtle.digest("SHA-256", await blob.arrayBuffer()));
        large.push([[...sum].map((b) => b.toString(16).padStart(2, "0")).join(""), blob]);
      }
      const spec = { kind: "shop-head", nominal_mm: 4.7625 },
        ms: number[] = [];
      let first = 0,
        read = 0;
      for (let i = 0; i < rounds; i++) {
        const began = performance.now();
        for (const [n, [, blob]] of large.entries()) {
          await window.ask("measure", { spec }, await blob.arrayBuffer());
          if (n === 0) first = performance.now() - began;
        }
        const told = (await window.ask(
          "together",
          large.map(([sha256]) => ({ sha256, spec })),
        )) as { documents: Document[] };
        ms.push(performance.now() - began);
        read = told.documents[0]!.locations.filter((l) => l.verdict).length;
      }
      return { ms, first, read };
    },
    { views, rounds: ROUNDS },
  );
  told("three photos of 12 MP to one answer", run.ms, "ms");
  console.log(`of these the first photo's own answer: ${run.first.toFixed(0)} ms`);
  expect(run.read).toBeGreaterThan(0);
});

test("live view", async ({ page }) => {
  await page.goto(laptop.url);
  await startGoSide(page);
  const fps = await page.evaluate(
    async ({ photo, rounds }) => {
      const blob = new Blob([Uint8Array.from(atob(photo), (c) => c.charCodeAt(0))], {
        type: "image/jpeg",
      });
      const bitmap = await createImageBitmap(blob, { resizeWidth: 1280, resizeHeight: 960 }); // as a video frame comes
      const canvas = document.createElement("canvas");
      [canvas.width, canvas.height] = [1280, 960];
      const c = canvas.getContext("2d", { willReadFrequently: true })!;
      const out: number[] = [];
      let at = 0;
      for (let i = 0; i < rounds; i++) {
        const began = performance.now();
        for (let n = 0; n < 20; n++) {
          c.drawImage(bitmap, 0, 0);
          await window.ask(
            "guide",
            { w: 1280, h: 960, still: 2592 / 1280, at_ms: (at += 50) },
            c.getImageData(0, 0, 1280, 960).data.buffer as ArrayBuffer,
          );
        }
        out.push(20_000 / (performance.now() - began));
      }
      return out;
    },
    { photo, rounds: ROUNDS },
  );
  told("live view", fps, "frames a second");
  expect(Math.min(...fps)).toBeGreaterThan(0);
});

test("the drawing follows a finger", async ({ page }) => {
  test.setTimeout(300_000);
  await page.goto(laptop.url + "/sample");
  await page.waitForURL("**/parts");
  await page.getByRole("link", { name: /Corner gusset, left/ }).click();
  await page.waitForURL("**/part/*");
  await page.goto(`${page.url()}/snap?sample`);
  await page.waitForURL("**/photo/*");
  await expect(page.locator(".photo .dimtext").first()).toBeVisible({ timeout: 60_000 });

  /** Moves the view or the mouse in each frame for 3 s: frames, and changes of a line, a second. */
  const rates = (line: string, how: "wheel" | "mouse", x: number, y: number) =>
    page.evaluate(
      ({ line, how, x, y }) =>
        new Promise<{ frames: number; changes: number }>((resolve) => {
          const photo = document.querySelector(".photo")!,
            began = performance.now();
          let frames = 0,
            changes = 0,
            last: string | null | undefined;
          const each = (): void => {
            const now = document.querySelector(line)?.getAttribute("d");
            if (now !== last) changes++;
            last = now;
            const at = { bubbles: true, clientX: x, clientY: y },
              d = 8 * Math.sin(frames / 9);
            photo.dispatchEvent(
              how === "wheel"
                ? new WheelEvent("wheel", { ...at, deltaY: d, cancelable: true })
                : new PointerEvent("pointermove", { ...at, pointerId: 1, clientX: x + d }),
            );
            frames++;
            const seconds = (performance.now() - began) / 1000;
            if (seconds < 3) requestAnimationFrame(each);
            else resolve({ frames: frames / seconds, changes: changes / seconds });
          };
          requestAnimationFrame(each);
        }),
      { line, how, x, y },
    );
  const box = (await page.locator(".photo").boundingBox())!;
  const pinched: number[] = [],
    dragged: number[] = [],
    frames: number[] = [];
  for (let i = 0; i < ROUNDS; i++) {
    const r = await rates(".photo svg path.halo", "wheel", box.x + box.width / 2, box.y + 100);
    pinched.push(r.changes);
    frames.push(r.frames);
  }
  await page.getByRole("tab").nth(1).click();
  await page.getByRole("button", { name: "Correct" }).click();
  for (let i = 0; i < ROUNDS; i++) {
    const handle = (await page.locator(".ph-pencil rect").first().boundingBox())!;
    const [x, y] = [handle.x + handle.width / 2, handle.y + handle.height / 2];
    await page.mouse.move(x, y);
    await page.mouse.down();
    const r = await rates(".ph-pencil path.halo", "mouse", x, y);
    await page.mouse.up();
    dragged.push(r.changes);
    frames.push(r.frames);
    await page.waitForTimeout(3000); // measured where it was dropped
  }
  told("frames while a finger moves", frames, "frames a second");
  told("drawing planned while the photo is pinched", pinched, "times a second");
  told("circle planned while its handle is dragged and measured", dragged, "times a second");
  expect(Math.min(...pinched, ...dragged)).toBeGreaterThan(0);
});

test("cold start with no laptop", async ({ page, context }) => {
  await page.goto(laptop.url);
  await page.evaluate(async () => {
    await navigator.serviceWorker.ready;
    while (!navigator.serviceWorker.controller) await new Promise((r) => setTimeout(r, 50));
  });
  await laptop.off();
  await context.setOffline(true);
  const all: number[] = [];
  await page.close();
  for (let i = 0; i < ROUNDS; i++) {
    const cold = await context.newPage(),
      began = Date.now();
    await cold.goto(laptop.url);
    await expect(cold.locator("main h2").first()).toBeVisible();
    all.push(Date.now() - began);
    await cold.close();
  }
  told("cold start offline, to the first screen", all, "ms");
});
