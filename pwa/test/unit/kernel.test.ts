import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { resolve } from "node:path";
import { test } from "node:test";
import type wabt from "wabt";

// It can't be bundled: it reads files of its own.
const assembler = createRequire(resolve("pwa/package.json"))("wabt") as typeof wabt;
const folder = "imaging/convnet/";

test("conv.wasm is conv.wat, assembled", async () => {
  const { parseWat } = await assembler();
  const text = await readFile(folder + "conv.wat", "utf8");
  const { buffer } = parseWat("conv.wat", text, { simd: true }).toBinary({});
  assert.deepEqual(Buffer.from(buffer), await readFile(folder + "conv.wasm"));
});
