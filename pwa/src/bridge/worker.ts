// The worker in which the Go side runs. One call at a time; what it can't survive ends it, and the
// client starts another.
import "wasm_exec";
import type { Crash, FromWorker, ToWorker } from "./protocol";

const scope = globalThis as unknown as DedicatedWorkerGlobalScope & {
  bucktail?: (name: string, json: string, bytes?: Uint8Array) => GoAnswer;
  bucktailProgress?: (step: string) => void;
};

type GoAnswer =
  | { json: string; bytes?: Uint8Array<ArrayBuffer> }
  | { refusal: { code: string; text: string; do: string } }
  | { fault: string };

let memory: WebAssembly.Memory | undefined;
let job = 0;
const go = new Go();

function say(m: FromWorker, transfer: Transferable[] = []): void {
  scope.postMessage(m, transfer);
}

function crash(what: unknown): void {
  const m: Crash = { crash: what instanceof Error ? what.message : String(what) };
  say(m);
}

async function start(module: WebAssembly.Module): Promise<void> {
  const instance = await WebAssembly.instantiate(module, go.importObject);
  memory = instance.exports["mem"] as WebAssembly.Memory;
  go.run(instance).then(() => crash("the program ended"), crash);
  scope.bucktailProgress = (step) => say({ job, step });
  say({ ready: true });
}

function answer(m: Extract<ToWorker, { job: number }>): void {
  job = m.job;
  if (!scope.bucktail) throw new Error("the worker was asked before it was ready");
  const a = scope.bucktail(m.name, m.json, m.bytes && new Uint8Array(m.bytes));
  // After a panic the program is gone and the call gives nothing.
  if (go.exited || a === undefined || a === null) throw new Error("the program ended");
  const used = memory?.buffer.byteLength ?? 0;
  if ("json" in a) {
    say({ job, json: a.json, used, ...(a.bytes && { bytes: a.bytes.buffer }) }, a.bytes ? [a.bytes.buffer] : []);
  } else {
    say({ job, used, ...a });
  }
}

scope.onmessage = (e: MessageEvent<ToWorker>) => {
  const m = e.data;
  try {
    if ("module" in m) void start(m.module).catch(crash);
    else answer(m);
  } catch (err) {
    crash(err);
  }
};
