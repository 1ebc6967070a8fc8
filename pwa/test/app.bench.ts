import { expect, test } from "@playwright/test";
import { readFileSync } from "node:fs";
import type { Document } from "../src/bridge/types";
import { root, startGoSide } from "./goside";
import { Laptop } from "./laptop";

// How fast it is in a real browser: figures to compare with each other on one machine, `make app-bench`.

const ROUNDS = 5;
let laptop: Laptop;
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
