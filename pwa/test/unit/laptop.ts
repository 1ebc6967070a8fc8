// A laptop in memory for the unit tests of the sync: the parts of server/api/openapi.yaml that the
// app uses, and a network that breaks where a test says so. The end-to-end tests use the real one.

export interface Trouble {
  /** Called before a request is looked at and before its answer goes back; throwing cuts the line. */
  cut?: (when: "asking" | "answering", path: string) => void;
}

const LATER = "01928f00-0000-7000-8000-0000000000f2";

export class Laptop {
  entries: { raw: string; id: string; device: string; seq: number }[] = [];
  photos = new Map<string, number>();
  puts = 0;
  record = "record-1";
  device: {
    id: string;
    name: string;
    role: string;
    owner: boolean;
    joined_at: string;
    key?: string;
  } = {
    id: "0198f3a0-0000-7000-8000-00000000000a",
    name: "Test phone",
    role: "builder",
    owner: false,
    joined_at: "2026-11-01T00:00:00Z",
  };
  trouble: Trouble = {};
  paired = true;
  refuse: (raw: string) => boolean = () => false;

  install(): void {
    globalThis.fetch = (async (input: unknown, init?: RequestInit) => {
      const path = String(input);
      const cut = (when: "asking" | "answering"): void => {
        try {
          this.trouble.cut?.(when, path);
        } catch (e) {
          throw new TypeError("network: " + String(e));
        }
      };
      cut("asking");
      const r = await this.#answer(path, init);
      cut("answering");
      return r;
    }) as typeof fetch;
  }

  async #answer(path: string, init?: RequestInit): Promise<Response> {
    const url = new URL(path, "http://laptop");
    const json = (v: unknown, status = 200): Response =>
      new Response(JSON.stringify(v), { status, headers: { "Content-Type": "application/json" } });
    const problem = (status: number, code: string): Response =>
      new Response(
        JSON.stringify({ type: "/api/problems/" + code, title: code, status, code, do: "…" }),
        { status, headers: { "Content-Type": "application/problem+json" } },
      );
    if (!this.paired) return problem(401, "no-token");
    const part = url.pathname.split("/").slice(2);
    if (url.pathname === "/api/me") return json({ device: this.device, record: this.record });
    if (url.pathname === "/api/me/key") {
      const { key } = JSON.parse(init!.body as string) as { key: string };
      // One that lost its key and was invited again goes on under another id.
      const lost = this.device.key !== undefined && this.device.key !== key;
      this.device = { ...this.device, key, ...(lost && { id: LATER }) };
      return json({ device: this.device, record: this.record });
    }
    if (part[0] === "chains") {
      const seq = Math.max(
        0,
        ...this.entries.filter((e) => e.device === part[1]).map((e) => e.seq),
      );
      return json({ device: part[1], seq, hash: "", count: seq });
    }
    if (url.pathname === "/api/entries" && init?.method === "POST") {
      const all = JSON.parse(init.body as string) as {
        entries: { id: string; device: string; seq: number }[];
      };
      const results = all.entries.map((e) => {
        const raw = JSON.stringify(e);
        if (this.refuse(raw)) return { status: "refused", refusal: { code: "no", text: "no" } };
        if (this.entries.some((k) => k.id === e.id && k.raw === raw))
          return { status: "known", id: e.id };
        this.entries.push({ raw, id: e.id, device: e.device, seq: e.seq });
        return { status: "new", id: e.id };
      });
      return json({ results });
    }
    if (url.pathname === "/api/entries") {
      const after = url.searchParams.get("after") ?? "";
      const n = /^(.*)-(\d+)$/.exec(after);
      const again = n !== null && n[1] !== this.record;
      const from = n === null || again ? 0 : Number(n[2]),
        page = this.entries.slice(from, from + 7);
      return json({
        entries: page.map((e) => JSON.parse(e.raw) as unknown),
        cursor: `${this.record}-${from + page.length}`,
        more: from + page.length < this.entries.length,
        ...(again && { again }),
      });
    }
    if (url.pathname === "/api/photos/wanted") {
      const { photos } = JSON.parse(init?.body as string) as { photos: string[] };
      return json({ missing: photos.filter((p) => !this.photos.has(p)) });
    }
    if (part[0] === "photos" && init?.method === "PUT") {
      const size = (init.body as Blob).size;
      this.puts++;
      this.photos.set(part[1]!, size);
      return json({ photo: part[1], bytes: size }, 201);
    }
    return problem(404, "nothing-here");
  }
}
