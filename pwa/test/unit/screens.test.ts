// Every screen that has a route is opened by the test of all screens.
import assert from "node:assert/strict";
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";

/** A question that any other address answers. */
const ASKED = ["leave"];

const routes = join("pwa", "src", "screens", "routes");

test("every route's word stands in the list of screens that are opened", () => {
  const opened = ["screens.spec.ts", "workshop.ts"] // the latter opens the sample
    .map((f) => readFileSync(join("pwa", "test", f), "utf8"))
    .join();
  let words = 0;
  for (const file of readdirSync(routes))
    for (const [, word] of readFileSync(join(routes, file), "utf8").matchAll(
      /(?:\bcase |\w === )"([a-z-]+)"/g,
    )) {
      words++;
      assert.ok(
        ASKED.includes(word!) || new RegExp(`["/]${word}["/?]`).test(opened),
        `${file} has a route "${word}" that pwa/test/screens.spec.ts doesn't open`,
      );
    }
  assert.ok(words > 30, `only ${words} words were found`);
});
