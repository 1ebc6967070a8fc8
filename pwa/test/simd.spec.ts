import { expect, test } from "@playwright/test";
import type { Page } from "@playwright/test";
import { readFileSync } from "node:fs";
import type { Document } from "../src/bridge/types";
import { ask, root, startGoSide } from "./goside";
import { Laptop } from "./laptop";

// The networks run by SIMD where the browser has it. The kernel is held against plain Go number
// by number in imaging/convnet; here: that the app's worker uses it, and can do without.

let laptop: Laptop;
test.beforeAll(async () => {
  laptop = await Laptop.start();
});
test.afterAll(async () => laptop.end());

/** Measures a photo of the demonstration in a worker, which is changed first. Says how many kernels were made. */
async function measured(page: Page, change: () => void): Promise<[Document, number]> {
  await page.goto(laptop.url);
  await startGoSide(page);
  for (const worker of page.workers()) {
    await worker.evaluate(() => {
      const made = { kernels: 0 };
      Object.assign(globalThis, made);
      WebAssembly.Instance = class extends WebAssembly.Instance {
        constructor(module: WebAssembly.Module, imports?: WebAssembly.Imports) {
          super(module, imports);
          (globalThis as unknown as typeof made).kernels++;
        }
      };
    });
    await worker.evaluate(change);
  }
  const { told } = await ask<Document>(
    page,
    "measure",
    { spec: { kind: "shop-head", nominal_mm: 3.175 }, size: "4" },
    readFileSync(`${root}server/demo/photos/aft-left.jpg`),
  );
  let kernels = 0;
  for (const worker of page.workers())
    kernels += await worker.evaluate(
      () => (globalThis as unknown as { kernels?: number }).kernels ?? 0,
    );
  return [told, kernels];
}

test("a browser without SIMD reads the same, to the last bit", async ({ page }) => {
  test.setTimeout(120_000);
  const [want, kernels] = await measured(page, () => {});
  expect(kernels).toBe(1);
  expect(want.locations.length).toBeGreaterThan(0);
  expect(
    await measured(page, () => {
      WebAssembly.validate = () => false;
    }),
  ).toEqual([want, 0]);
  expect(
    await measured(page, () => {
      delete (globalThis as { bucktailMemory?: unknown }).bucktailMemory;
    }),
  ).toEqual([want, 0]);
});
