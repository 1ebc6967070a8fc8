import { defineConfig } from "@playwright/test";

/** The phone on which nearly all of it is tried. */
export const phone = {
  viewport: { width: 390, height: 844 },
  locale: "en-GB", // millimetres and A4, as the tests read them
  hasTouch: true,
  // Fetching the whole app into a cache takes each new browser context more than a second of a
  // processor; who tests what a service worker does allows it.
  serviceWorkers: "block",
} as const;

export default defineConfig({
  testDir: ".",
  testMatch: `*.${process.env["KIND"] ?? "spec"}.ts`, // bench: figures; shots: a recording
  outputDir: "../test-results",
  retries: 1, // for a machine that stalls; the list names as flaky what passed the second time only
  workers: 3, // of two cores: a test waits for a screen or a laptop a third of its time
  timeout: 180_000, // of a whole test, on a slow machine too: each wait in it has a limit of its own
  expect: { timeout: 15_000 },
  forbidOnly: true,
  reporter: [["list"]],
  use: {
    ...phone,
    actionTimeout: 20_000,
    navigationTimeout: 30_000,
    launchOptions: {
      executablePath: process.env["CHROMIUM"] ?? "/usr/bin/chromium",
      args: [
        "--no-sandbox",
        "--disable-gpu",
        "--disable-quic",
        "--no-first-run",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        // Nothing leaves this machine, whatever a page asks for.
        "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE localhost, EXCLUDE 127.0.0.1",
      ],
    },
  },
});
