// How the app's own sources stand to each other: imports run one way, and no file is longer than can
// be read in one go.
import assert from "node:assert/strict";
import { readdirSync, readFileSync } from "node:fs";
import { dirname, extname, join, normalize, sep } from "node:path";
import { test } from "node:test";

const MOST_LINES = 400;

const filesIn = (folder: string): string[] =>
  readdirSync(folder, { recursive: true, encoding: "utf8" })
    .map((f) => join(folder, f).split(sep).join("/"))
    .filter((f) => /\.(ts|tsx|css|mjs)$/.test(f));

type Graph = Map<string, Set<string>>;

/** Which of the files import which; a type is an import as well, and so is a group that is read later. */
function importsOf(files: string[]): Graph {
  const known = new Set(files),
    g: Graph = new Map();
  for (const f of files) {
    const to = new Set<string>();
    for (const [, spec] of readFileSync(f, "utf8").matchAll(
      /(?:\bfrom|\bimport|@import)\s*\(?\s*"(\.[^"]+)"/g,
    )) {
      const at = normalize(join(dirname(f), spec!))
        .split(sep)
        .join("/");
      const hit = [at, `${at}.ts`, `${at}.tsx`, `${at}/index.ts`].find((x) => known.has(x));
      assert.ok(
        hit ?? extname(at) === ".svg",
        `${f} imports ${spec}, which is not among the sources`,
      );
      if (hit) to.add(hit);
    }
    g.set(f, to);
  }
  return g;
}

/** The graph of what the nodes stand in. */
function grouped(g: Graph, group: (node: string) => string): Graph {
  const out: Graph = new Map();
  for (const [from, tos] of g)
    for (const to of tos) {
      const [a, b] = [group(from), group(to)];
      if (a !== b) out.set(a, (out.get(a) ?? new Set()).add(b));
    }
  return out;
}

/** One way round, first node first and last; undefined where arrows run one way. */
function circleIn(g: Graph): string[] | undefined {
  const done = new Set<string>();
  const walk = (node: string, way: string[]): string[] | undefined => {
    if (way.includes(node)) return [...way.slice(way.indexOf(node)), node];
    if (done.has(node)) return undefined;
    for (const next of g.get(node) ?? []) {
      const found = walk(next, [...way, node]);
      if (found) return found;
    }
    done.add(node);
    return undefined;
  };
  for (const node of g.keys()) {
    const found = walk(node, []);
    if (found) return found;
  }
  return undefined;
}

/** A folder; what lies in src and screens themselves stands by itself, above or below the folders. */
const room = (f: string): string =>
  /^pwa\/src(\/screens)?$/.test(dirname(f))
    ? f
    : dirname(f).replace(/^(pwa\/src\/bridge)\/.*/, "$1");

test("a circle is found", () => {
  const g = (o: Record<string, string[]>): Graph =>
    new Map(Object.entries(o).map(([a, b]) => [a, new Set(b)]));
  assert.deepEqual(circleIn(g({ a: ["b", "d"], b: ["c"], c: ["b"] })), ["b", "c", "b"]);
  assert.equal(circleIn(g({ a: ["b", "c"], b: ["c"], c: [] })), undefined);
});

test("imports run one way, among files and among folders", () => {
  const g = importsOf(filesIn("pwa/src"));
  assert.ok(g.get("pwa/src/main.tsx")?.has("pwa/src/screens/app.tsx"), "no imports were read");
  assert.equal(circleIn(g)?.join("\n  -> "), undefined);
  assert.equal(circleIn(grouped(g, room))?.join("\n  -> "), undefined);
});

test(`no file has more than ${MOST_LINES} lines`, () => {
  const lines = (f: string): number => readFileSync(f, "utf8").split("\n").length - 1;
  assert.deepEqual(
    [...filesIn("pwa/src"), ...filesIn("pwa/test")]
      .filter((f) => lines(f) > MOST_LINES)
      .map((f) => `${f}: ${lines(f)}`),
    [],
  );
});
