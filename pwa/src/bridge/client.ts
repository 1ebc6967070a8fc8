// The only code of the page that knows there is WebAssembly. A Bridge has one worker, which it
// starts when it is first needed and starts again after a crash, and gives it one job at a time.
import { painted } from "../painted";
import type { FromWorker, PhotoSize, ToWorker } from "./protocol";
import type { Ask, CallName, Refusal, Told } from "./types";

/** What was given does not allow an answer; say so to the builder as it is. */
export class Refused extends Error {
  constructor(readonly refusal: Refusal) {
    super(refusal.text);
    this.name = "Refused";
  }
}

/** The program broke off: a fault of ours. What was on the disk is safe; a new one starts with the next call. */
export class Crashed extends Error {
  constructor(what: string) {
    super(what);
    this.name = "Crashed";
  }
}

/** Linear memory never shrinks: above this, the worker is started anew when idle. */
const MOST_MEMORY = 300 << 20;

export interface CallOptions {
  bytes?: ArrayBuffer;
  signal?: AbortSignal;
  /** Told what is begun, where the call has steps, and how much is done where that is known, 0 to 1. */
  progress?: (step: string, fraction?: number) => void;
}

interface Answer {
  json: string;
  bytes?: ArrayBuffer;
  file?: Blob;
}

interface Job {
  name: CallName;
  json: string;
  bytes?: ArrayBuffer;
  signal?: AbortSignal | undefined;
  progress?: ((step: string, fraction?: number) => void) | undefined;
  resolve: (v: Answer) => void;
  reject: (e: unknown) => void;
}

const modules = new Map<string, Promise<WebAssembly.Module>>();

/** Compiles a program once for all its workers. */
function compiled(url: string): Promise<WebAssembly.Module> {
  const known = modules.get(url);
  if (known) return known;
  const module = painted()
    .then(() => WebAssembly.compileStreaming(fetch(url)))
    .catch((e: unknown) => {
      modules.delete(url); // the next call tries again
      throw e;
    });
  modules.set(url, module);
  return module;
}

/** Begins to fetch and compile, so that the first call need not wait for it. */
export function warmUp(): void {
  void compiled(__MODULE__).catch(() => undefined);
}

/** What a bridge is for. */
export interface Program {
  /** Fills a fresh worker with what it must know, by `call` given to it. */
  prepare?: (call: Bridge["direct"]) => Promise<void>;
  /** Address of the WebAssembly; the one that measures where not given. */
  module?: string;
  /** Gives photos to a program that asks for them while it works. */
  photo?: (hash: string, size: PhotoSize) => Promise<Blob | undefined>;
}

export class Bridge {
  #worker: Worker | undefined;
  #ready: Promise<void> | undefined;
  #queue: Job[] = [];
  #running: { job: Job; number: number } | undefined;
  #count = 0;
  #busy = false;
  #giveUp: ((e: unknown) => void) | undefined;

  constructor(private readonly program: Program = {}) {}

  /** How many jobs wait or run. */
  get pending(): number {
    return this.#queue.length + (this.#running ? 1 : 0);
  }

  /** Calls the Go side. Rejects with Refused, Crashed, the signal's reason, or an Error for a fault of ours. */
  async call<K extends CallName>(name: K, ask: Ask<K>, o: CallOptions = {}): Promise<Told<K>> {
    return JSON.parse((await this.#enqueue(name, ask, o)).json) as Told<K>;
  }

  /** Like call, for answers that come with bytes. */
  async callBytes<K extends CallName>(
    name: K,
    ask: Ask<K>,
    o: CallOptions = {},
  ): Promise<{ told: Told<K>; bytes: ArrayBuffer }> {
    const a = await this.#enqueue(name, ask, o);
    if (!a.bytes) throw new Error(`${name} answered without bytes`);
    return { told: JSON.parse(a.json) as Told<K>, bytes: a.bytes };
  }

  /** Like call, for answers that come with a file. */
  async callFile<K extends CallName>(
    name: K,
    ask: Ask<K>,
    o: CallOptions = {},
  ): Promise<{ told: Told<K>; file: Blob }> {
    const a = await this.#enqueue(name, ask, o);
    return { told: JSON.parse(a.json) as Told<K>, file: a.file ?? new Blob() };
  }

  /** Ends the worker; the next call starts another. Jobs that wait are kept, the running one is rejected. */
  stop(reason: unknown = new DOMException("stopped", "AbortError")): void {
    this.#worker?.terminate();
    this.#worker = undefined;
    this.#ready = undefined;
    this.#giveUp?.(reason);
    const r = this.#running;
    this.#running = undefined;
    r?.job.reject(reason);
  }

  #enqueue(name: CallName, ask: unknown, o: CallOptions): Promise<Answer> {
    return new Promise((resolve, reject) => {
      if (o.signal?.aborted) return reject(o.signal.reason);
      const job: Job = {
        name,
        json: JSON.stringify(ask),
        resolve,
        reject,
        signal: o.signal,
        progress: o.progress,
      };
      if (o.bytes) job.bytes = o.bytes;
      o.signal?.addEventListener("abort", () => this.#abort(job), { once: true });
      this.#queue.push(job);
      void this.#next();
    });
  }

  #abort(job: Job): void {
    const at = this.#queue.indexOf(job);
    if (at >= 0) {
      this.#queue.splice(at, 1);
      job.reject(job.signal?.reason);
    } else if (this.#running?.job === job) {
      // Go on one thread can't be interrupted: only its end ends the work.
      this.stop(job.signal?.reason);
      void this.#next();
    }
  }

  async #next(): Promise<void> {
    if (this.#busy || this.#running || this.#queue.length === 0) return;
    this.#busy = true;
    try {
      await this.#start();
    } catch (e) {
      const failed = this.#queue.splice(0);
      for (const j of failed) j.reject(e);
      return;
    } finally {
      this.#busy = false;
    }
    const job = this.#queue.shift();
    if (job) this.#run(job);
  }

  #run(job: Job): void {
    const number = ++this.#count;
    this.#running = { job, number };
    const m: ToWorker = {
      job: number,
      name: job.name,
      json: job.json,
      ...(job.bytes && { bytes: job.bytes }),
    };
    // The bytes are copied, not handed over: a job must be able to run again.
    this.#worker?.postMessage(m);
  }

  #start(): Promise<void> {
    this.#ready ??= this.#boot().catch((e: unknown) => {
      this.#worker?.terminate();
      this.#worker = undefined;
      this.#ready = undefined;
      throw e;
    });
    return this.#ready;
  }

  async #boot(): Promise<void> {
    const program = await compiled(this.program.module ?? __MODULE__);
    const worker = new Worker(__WORKER__);
    this.#worker = worker;
    await new Promise<void>((resolve, reject) => {
      this.#giveUp = reject;
      worker.onmessage = (e: MessageEvent<FromWorker>) => {
        if ("ready" in e.data) resolve();
        else if ("crash" in e.data) reject(new Crashed(e.data.crash));
      };
      worker.onerror = (e) =>
        reject(new Crashed(e.message || "the worker's script could not be loaded"));
      const m: ToWorker = { module: program };
      worker.postMessage(m);
    });
    worker.onmessage = (e: MessageEvent<FromWorker>) => this.#take(worker, e.data);
    worker.onerror = (e) => this.#crashed(worker, e.message);
    await this.program.prepare?.(this.direct);
  }

  /** A call past the queue, for prepare: nothing else runs yet. */
  readonly direct = async <K extends CallName>(name: K, ask: Ask<K>): Promise<Told<K>> => {
    const a = await new Promise<{ json: string }>((resolve, reject) => {
      this.#run({ name, json: JSON.stringify(ask), resolve, reject });
    });
    return JSON.parse(a.json) as Told<K>;
  };

  #take(worker: Worker, m: FromWorker): void {
    if (worker !== this.#worker) return;
    if ("crash" in m) return this.#crashed(worker, m.crash);
    if ("want" in m) return void this.#fetchPhoto(worker, m);
    const r = this.#running;
    if ("ready" in m || !r || m.job !== r.number) return;
    if ("step" in m) return r.job.progress?.(m.step, m.fraction);
    this.#running = undefined;
    if ("json" in m) r.job.resolve(m);
    else if ("refusal" in m) r.job.reject(new Refused(m.refusal));
    else r.job.reject(new Error(m.fault));
    if (m.used > MOST_MEMORY) this.stop();
    void this.#next();
  }

  async #fetchPhoto(
    worker: Worker,
    m: { want: number; hash: string; size: PhotoSize },
  ): Promise<void> {
    const blob = await this.program.photo?.(m.hash, m.size).catch(() => undefined);
    const have: ToWorker = { have: m.want, blob };
    worker.postMessage(have); // one that has ended meanwhile takes no notice
  }

  #crashed(worker: Worker, what: string): void {
    if (worker !== this.#worker) return;
    this.stop(new Crashed(what));
    void this.#next();
  }
}
