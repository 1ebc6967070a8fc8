// The Go side in Node, without a worker, and a disk in memory: what the unit tests stand on.
import "fake-indexeddb/auto";
import { readFile, readdir } from "node:fs/promises";
import { join } from "node:path";
import "wasm_exec";
import { Refused } from "../../src/bridge/client";
import type { Ask, CallName, Entry, Refusal, Told } from "../../src/bridge/types";
import { setBook } from "../../src/data/book";
import { closeDB } from "../../src/data/db";

type Answer = { json: string; bytes?: Uint8Array } | { refusal: Refusal } | { fault: string };
export type GoSide = {
  call<K extends CallName>(name: K, ask: Ask<K>, o?: { bytes?: ArrayBuffer }): Promise<Told<K>>;
  pending: number;
};

/** Starts a Go side of its own: a fresh record. */
export async function startGo(): Promise<GoSide> {
  const go = new Go();
  const { instance } = await WebAssembly.instantiate(await readFile(__MODULE__), go.importObject);
  void go.run(instance);
  const ask = (
    globalThis as unknown as { bucktail: (n: string, j: string, b?: Uint8Array) => Answer }
  ).bucktail;
  return {
    pending: 0,
    async call(name, question, o) {
      const a = ask(name, JSON.stringify(question), o?.bytes && new Uint8Array(o.bytes));
      if ("refusal" in a) throw new Refused(a.refusal);
      if ("fault" in a) throw new Error(a.fault);
      return JSON.parse(a.json) as never;
    },
  };
}

/** A phone with an empty disk. */
export async function freshPhone(): Promise<GoSide> {
  await closeDB();
  await new Promise<void>((resolve, reject) => {
    const r = indexedDB.deleteDatabase("bucktail");
    r.onsuccess = () => resolve();
    r.onerror = () => reject(r.error);
  });
  const go = await startGo();
  setBook(go);
  return go;
}

const wire = "testdata/wire";

/** The entries of testdata/wire by file name, as text. */
export async function wireEntries(): Promise<Map<string, string>> {
  const out = new Map<string, string>();
  for (const name of (await readdir(wire)).sort()) {
    if (name.endsWith(".entry.json"))
      out.set(name, (await readFile(join(wire, name), "utf8")).trimEnd());
  }
  return out;
}

export const wireState = async (): Promise<Record<string, unknown>> =>
  JSON.parse(await readFile(join(wire, "state.json"), "utf8")) as Record<string, unknown>;

export const parse = (raw: string): Entry => JSON.parse(raw) as Entry;
