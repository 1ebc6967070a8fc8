// Figures of the app's first screen, by hand: `make lighthouse`. Lighthouse is fetched by npx when
// it is first asked for; it is no part of the app or of its tests.
import { execFileSync, spawn } from "node:child_process";
import { mkdirSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

const LIGHTHOUSE = "lighthouse@12.2.3"; // 13 wants Node 22
const port = 18442;
const dir = mkdtempSync(join(tmpdir(), "bucktail-lighthouse-"));
const server = spawn(
  "build/bucktail",
  ["serve", "--no-lan", "--addr", `localhost:${port}`, "--data", dir],
  { stdio: ["pipe", "pipe", "inherit"] },
);
try {
  await new Promise((resolve, reject) => {
    server.stdout.on("data", (b) => String(b).includes("/join#") && resolve());
    server.once("exit", () => reject(new Error("the server does not start")));
  });
  mkdirSync("build", { recursive: true });
  const out = "build/lighthouse.json";
  execFileSync(
    "npx",
    [
      "--yes",
      LIGHTHOUSE,
      `http://localhost:${port}/`,
      "--quiet",
      "--output=json",
      `--output-path=${out}`,
      "--only-categories=performance,accessibility,best-practices",
      "--chrome-flags=--headless=new --no-sandbox --disable-gpu",
    ],
    {
      stdio: "inherit",
      env: { ...process.env, CHROME_PATH: process.env.CHROMIUM || "/usr/bin/chromium" },
    },
  );
  const report = JSON.parse(readFileSync(out, "utf8"));
  let low = false;
  for (const c of Object.values(report.categories)) {
    console.log(`${c.title}: ${Math.round(c.score * 100)}`);
    low ||= c.score < 0.95;
    for (const { id } of c.auditRefs) {
      const a = report.audits[id];
      if (a.score !== null && a.score < 0.9)
        console.log(`  ${a.title}${a.displayValue ? ": " + a.displayValue : ""}`);
    }
  }
  if (low) process.exitCode = 1;
} finally {
  server.kill();
  rmSync(dir, { recursive: true, force: true });
}
