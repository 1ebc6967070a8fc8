// A camera that shows a photo, and pictures of screens that stand still.
import { copyFileSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { LaunchOptions, Page } from "@playwright/test";

/** A browser whose camera shows a photo: a stream of one JPEG picture is that picture. */
export function cameraOf(photo: string) {
  const dir = mkdtempSync(join(tmpdir(), "bucktail-camera-"));
  process.on("exit", () => rmSync(dir, { recursive: true, force: true }));
  const stream = join(dir, "camera.mjpeg");
  copyFileSync(photo, stream);
  return async (
    { launchOptions }: { launchOptions: LaunchOptions },
    use: (o: LaunchOptions) => Promise<void>,
  ): Promise<void> =>
    use({
      ...launchOptions,
      args: [
        ...(launchOptions.args ?? []),
        "--use-fake-device-for-media-stream",
        "--use-fake-ui-for-media-stream",
        `--use-file-for-fake-video-capture=${stream}`,
      ],
    });
}

/** Keeps the screen as a picture once what comes from the laptop is there, and nothing moves. */
export async function keeps(page: Page, file: string, quality: number): Promise<void> {
  await page.waitForFunction(
    () =>
      [...document.images].every((i) => i.complete) &&
      !document.querySelector("span.crop:empty") && // which photo it is, is not known yet
      [...document.querySelectorAll<HTMLCanvasElement>("canvas.crop")].every(
        (c) => c.width === 320,
      ),
  );
  await page.screenshot({ path: file, type: "jpeg", quality, animations: "disabled" });
}
