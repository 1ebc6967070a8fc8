// The worker in which the Go side runs. One call at a time; what it can't survive ends it, and the
// client starts another.
import "wasm_exec";
import type { Crash, FromWorker, PhotoSize, ToWorker } from "./protocol";

const scope = globalThis as unknown as DedicatedWorkerGlobalScope & {
  bucktail?: (name: string, json: string, bytes?: Uint8Array) => GoAnswer | Promise<GoAnswer>;
  bucktailProgress?: (step: string, done?: number, of?: number) => void;
  bucktailPhoto?: (hash: string, size: PhotoSize) => Promise<Uint8Array | null>;
  bucktailPiece?: (piece: Uint8Array<ArrayBuffer>) => void;
  /** The program's own memory, on which its networks run by SIMD. */
  bucktailMemory?: WebAssembly.Memory;
};

type GoAnswer =
  | { json: string; bytes?: Uint8Array<ArrayBuffer> }
  | { refusal: { code: string; text: string; do: string } }
  | { fault: string };

let job = 0;
const go = new Go();
/** Photos that the program waits for. */
const wants = new Map<number, (blob: Blob | undefined) => void>();
let count = 0;
/** The file that is being made. A browser may put large Blobs onto the disk, arrays stay in memory. */
let file: Blob | undefined,
  pieces: Uint8Array<ArrayBuffer>[] = [],
  held = 0;
const MOST_HELD = 8 << 20;

function say(m: FromWorker, transfer: Transferable[] = []): void {
  scope.postMessage(m, transfer);
}

function crash(what: unknown): void {
  const m: Crash = { crash: what instanceof Error ? what.message : String(what) };
  say(m);
}

async function start(module: WebAssembly.Module): Promise<void> {
  const instance = await WebAssembly.instantiate(module, go.importObject);
  scope.bucktailMemory = instance.exports["mem"] as WebAssembly.Memory;
  go.run(instance).then(() => crash("the program ended"), crash);
  scope.bucktailProgress = (step, done, of) =>
    say(of ? { job, step, fraction: (done ?? 0) / of } : { job, step });
  scope.bucktailPhoto = async (hash, size) => {
    const blob = await new Promise<Blob | undefined>((resolve) => {
      wants.set(++count, resolve);
      say({ want: count, hash, size });
    });
    return blob ? new Uint8Array(await blob.arrayBuffer()) : null;
  };
  scope.bucktailPiece = (piece) => {
    pieces.push(piece);
    held += piece.length;
    if (held > MOST_HELD) gather();
  };
  say({ ready: true });
}

/** Gives the file as far as it is made. */
function gather(): Blob | undefined {
  if (held > 0) file = new Blob(file ? [file, ...pieces] : pieces);
  pieces = [];
  held = 0;
  return file;
}

async function answer(m: Extract<ToWorker, { job: number }>): Promise<void> {
  job = m.job;
  file = undefined;
  pieces = [];
  held = 0;
  if (!scope.bucktail) throw new Error("the worker was asked before it was ready");
  const said = scope.bucktail(m.name, m.json, m.bytes && new Uint8Array(m.bytes));
  const a = said instanceof Promise ? await said : said;
  // After a panic the program is gone and the call gives nothing.
  if (go.exited || a === undefined || a === null) throw new Error("the program ended");
  const used = scope.bucktailMemory?.buffer.byteLength ?? 0;
  if ("json" in a) {
    const made = gather();
    say(
      {
        job,
        json: a.json,
        used,
        ...(a.bytes && { bytes: a.bytes.buffer }),
        ...(made && { file: made }),
      },
      a.bytes ? [a.bytes.buffer] : [],
    );
    file = undefined;
  } else {
    say({ job, used, ...a });
  }
}

scope.onmessage = (e: MessageEvent<ToWorker>) => {
  const m = e.data;
  if ("module" in m) start(m.module).catch(crash);
  else if ("have" in m) {
    wants.get(m.have)?.(m.blob);
    wants.delete(m.have);
  } else answer(m).catch(crash);
};
