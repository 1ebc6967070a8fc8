// The live guidance: frames of the video, made small, go to the Go side one at a time; what it says
// comes back as a signal.
import { signal, type ReadonlySignal } from "@preact/signals";
import type { Bridge } from "../bridge/client";
import type { Frame, Sight } from "../bridge/types";

/** The longer side of a frame as it is looked at, px: finer shows no more of a card that is near enough. */
const FRAME_SIDE = 1280;
/** Frames a second at most: a hand does not follow more, and the battery lasts longer. */
const MOST_FPS = 15;

export interface Guidance {
  /** What the last frame showed; undefined before the first. Places in pixels of `frame`. */
  sight: ReadonlySignal<Sight | undefined>;
  frame: ReadonlySignal<{ w: number; h: number }>;
  /** Frames looked at in the last second. */
  fps: ReadonlySignal<number>;
  /** Lets frames wait, while a photo is measured, say. */
  pause(): void;
  resume(): void;
  stop(): void;
}

export interface GuideOptions {
  /** Width of the still over that of the video, see Camera.stillScale. */
  stillScale?: (videoWidth: number) => number;
  mostFPS?: number;
  /** Where the phone is wanted, where not straight above. */
  want?: () => Pick<Frame, "toward" | "tilt_deg">;
}

export function guide(
  eye: Pick<Bridge, "call" | "pending">,
  video: HTMLVideoElement,
  o: GuideOptions = {},
): Guidance {
  const sight = signal<Sight | undefined>(undefined);
  const frame = signal({ w: 0, h: 0 });
  const fps = signal(0);
  const canvas = document.createElement("canvas");
  const c = canvas.getContext("2d", { willReadFrequently: true, alpha: false });
  const leastMS = 1000 / (o.mostFPS ?? MOST_FPS);
  let stopped = false,
    paused = false,
    lastAt = -Infinity;
  let times: number[] = [];
  let waiting: (() => void) | undefined;

  const nextFrame = (): Promise<void> =>
    new Promise((resolve) => {
      waiting = resolve;
      const due = Math.max(0, lastAt + leastMS - performance.now());
      // requestVideoFrameCallback gives each picture once; without it, the screen's pace does.
      const arm = (): void => {
        if (video.requestVideoFrameCallback) video.requestVideoFrameCallback(() => resolve());
        else requestAnimationFrame(() => resolve());
      };
      if (due > 4) setTimeout(arm, due - 4);
      else arm();
    });

  async function look(): Promise<void> {
    if (
      !c ||
      video.videoWidth === 0 ||
      paused ||
      document.visibilityState !== "visible" ||
      eye.pending > 0
    )
      return;
    const k = Math.min(1, FRAME_SIDE / Math.max(video.videoWidth, video.videoHeight));
    const w = Math.max(1, Math.round(video.videoWidth * k)),
      h = Math.max(1, Math.round(video.videoHeight * k));
    if (canvas.width !== w || canvas.height !== h) {
      canvas.width = w;
      canvas.height = h;
    }
    c.drawImage(video, 0, 0, w, h);
    const at = performance.now();
    lastAt = at;
    const still = (o.stillScale?.(video.videoWidth) ?? 1) / k;
    const seen = await eye.call(
      "guide",
      { w, h, still, at_ms: at, ...o.want?.() },
      { bytes: c.getImageData(0, 0, w, h).data.buffer as ArrayBuffer },
    );
    if (stopped || paused) return;
    times = times.filter((t) => t > at - 1000);
    times.push(at);
    fps.value = times.length;
    if (frame.peek().w !== w || frame.peek().h !== h) frame.value = { w, h };
    sight.value = seen;
  }

  async function run(): Promise<void> {
    await eye.call("guide.reset", {}).catch(() => undefined);
    while (!stopped) {
      await nextFrame();
      if (stopped) return;
      // A crash ends one frame: the next starts the worker again.
      await look().catch(() => {
        sight.value = undefined;
      });
    }
  }
  void run();

  return {
    sight,
    frame,
    fps,
    pause() {
      paused = true;
    },
    resume() {
      paused = false;
    },
    stop() {
      stopped = true;
      waiting?.();
    },
  };
}
