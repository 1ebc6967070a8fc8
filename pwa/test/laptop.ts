// The real server for the end-to-end tests: build/bucktail with a record of its own.
import { spawn, type ChildProcess } from "node:child_process";
import { mkdtemp, rm } from "node:fs/promises";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

const root = fileURLToPath(new URL("../..", import.meta.url));

/** A port that is free now. */
const freePort = (): Promise<number> =>
  new Promise((resolve, reject) => {
    const s = createServer();
    s.once("error", reject);
    s.listen(0, "127.0.0.1", () => {
      const a = s.address();
      s.close(() => (a && typeof a === "object" ? resolve(a.port) : reject(new Error("no port"))));
    });
  });

export class Laptop {
  #process: ChildProcess | undefined;
  #link = "";
  #said = "";
  private constructor(
    private readonly dir: string,
    readonly port: number,
    private readonly asDemo = false,
    private readonly network = ["--no-lan"],
  ) {}

  static async start(): Promise<Laptop> {
    const l = new Laptop(await mkdtemp(join(tmpdir(), "bucktail-e2e-")), await freePort());
    await l.on();
    return l;
  }

  /** With the demonstration's record. */
  static async demo(): Promise<Laptop> {
    const l = new Laptop(await mkdtemp(join(tmpdir(), "bucktail-e2e-")), await freePort(), true);
    await l.on();
    return l;
  }

  /** With its doors for phones open, on this machine alone. */
  static async withDoors(): Promise<Laptop> {
    const [tls, trust] = [await freePort(), await freePort()];
    const doors = ["--tls-addr", `127.0.0.1:${tls}`, "--trust-addr", `127.0.0.1:${trust}`];
    const dir = await mkdtemp(join(tmpdir(), "bucktail-e2e-"));
    const l = new Laptop(dir, await freePort(), false, doors);
    await l.on();
    return l;
  }

  /** What the terminal shows, the folder of the record as it is called on a builder's laptop. */
  get said(): string {
    return this.#said.replaceAll(this.dir, "~/.local/share/bucktail");
  }

  get url(): string {
    return `http://${this.asDemo ? "127.0.0.1" : "localhost"}:${this.port}`;
  }

  /** The owner's one-time link as it was printed. */
  get link(): string {
    return this.#link;
  }

  /** Switches it on again, on the same address and record. */
  async on(): Promise<void> {
    const p = spawn(
      join(root, "build", "bucktail"),
      this.asDemo
        ? ["demo", "--addr", `127.0.0.1:${this.port}`]
        : ["serve", ...this.network, "--addr", `localhost:${this.port}`, "--data", this.dir],
      { stdio: ["pipe", "pipe", "pipe"] },
    );
    this.#process = p;
    this.#said = "";
    await new Promise<void>((resolve, reject) => {
      const take = (b: Buffer): void => {
        this.#said += b.toString();
        const link = /http:\/\/\S+\/join#\S+/.exec(this.#said);
        if (link) {
          this.#link = link[0];
          resolve();
        }
      };
      p.stdout.on("data", take);
      p.stderr.on("data", take);
      p.once("exit", (code) => reject(new Error(`the server ended with ${code}: ${this.#said}`)));
      setTimeout(
        () => reject(new Error("the server does not start: " + this.#said)),
        60_000,
      ).unref();
    });
  }

  /** Switches it off as a power cut would. */
  async off(): Promise<void> {
    const p = this.#process;
    this.#process = undefined;
    if (!p || p.exitCode !== null) return;
    const gone = new Promise((resolve) => p.once("exit", resolve));
    p.kill(this.asDemo ? "SIGTERM" : "SIGKILL"); // the demonstration takes its record away
    await gone;
  }

  async end(): Promise<void> {
    await this.off();
    await rm(this.dir, { recursive: true, force: true });
  }
}
