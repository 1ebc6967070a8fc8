// The phone's camera in the page: one stream a visit, a still as large as the camera gives, torch,
// zoom and focus where the phone offers them.

/** What this camera offers. */
export interface Offers {
  torch: boolean;
  zoom: { min: number; max: number; step: number } | undefined;
  /** A point may be tapped to focus there. */
  focusPoint: boolean;
  /** Focus can be set going once. */
  focusOnce: boolean;
}

// The parts of the Image Capture specification that TypeScript's own library lacks.
interface MoreCapabilities extends MediaTrackCapabilities {
  torch?: boolean;
  zoom?: { min: number; max: number; step: number };
  focusMode?: string[];
  pointsOfInterest?: unknown;
}
interface MoreConstraints extends MediaTrackConstraintSet {
  torch?: boolean;
  zoom?: number;
  focusMode?: string;
  pointsOfInterest?: { x: number; y: number }[];
}
interface StillCamera {
  takePhoto(settings?: { imageWidth?: number; imageHeight?: number }): Promise<Blob>;
  getPhotoCapabilities(): Promise<{ imageWidth?: { max: number }; imageHeight?: { max: number } }>;
}
declare const ImageCapture: (new (track: MediaStreamTrack) => StillCamera) | undefined;

/** Why there is no live view; the file input still takes photos. */
export type NoCamera = "insecure" | "missing" | "denied" | "busy";

export class CameraError extends Error {
  constructor(
    readonly why: NoCamera,
    cause?: unknown,
  ) {
    super(`no live view: ${why}`, { cause });
  }
}

/** More than any phone's video has; the camera takes its nearest. Width alone: with both, some cut. */
const ASK_WIDTH = 4096;

export class Camera {
  #still: StillCamera | undefined;
  #stillWidth: number | undefined;
  readonly offers: Offers;

  private constructor(
    readonly stream: MediaStream,
    private readonly track: MediaStreamTrack,
    still: StillCamera | undefined,
    stillWidth: number | undefined,
  ) {
    this.#still = still;
    this.#stillWidth = stillWidth;
    const c = (track.getCapabilities?.() ?? {}) as MoreCapabilities;
    this.offers = {
      torch: c.torch === true,
      zoom:
        c.zoom && c.zoom.max > c.zoom.min
          ? { min: c.zoom.min, max: c.zoom.max, step: c.zoom.step || 0.1 }
          : undefined,
      focusPoint:
        c.pointsOfInterest !== undefined && (c.focusMode?.includes("single-shot") ?? false),
      focusOnce: c.focusMode?.includes("single-shot") ?? false,
    };
  }

  /** Opens the rear camera. Rejects with CameraError. */
  static async open(): Promise<Camera> {
    if (!globalThis.isSecureContext || !navigator.mediaDevices) throw new CameraError("insecure");
    let stream: MediaStream;
    try {
      stream = await navigator.mediaDevices.getUserMedia({
        audio: false,
        video: { facingMode: "environment", width: { ideal: ASK_WIDTH } },
      });
    } catch (e) {
      const name = e instanceof DOMException ? e.name : "";
      throw new CameraError(
        name === "NotAllowedError" || name === "SecurityError"
          ? "denied"
          : name === "NotReadableError" || name === "AbortError"
            ? "busy"
            : "missing",
        e,
      );
    }
    const track = stream.getVideoTracks()[0];
    if (!track) throw new CameraError("missing");
    let still: StillCamera | undefined, width: number | undefined;
    if (typeof ImageCapture !== "undefined") {
      still = new ImageCapture(track);
      width = await still.getPhotoCapabilities().then(
        (p) => p.imageWidth?.max,
        () => undefined,
      );
    }
    return new Camera(stream, track, still, width);
  }

  /** True while pictures come. */
  get alive(): boolean {
    return this.track.readyState === "live";
  }

  /** Width of the still to come over that of the video; 1 where not known. */
  stillScale(videoWidth: number): number {
    if (!this.#stillWidth || !videoWidth) return 1;
    // The still's long side lies as the video's does; portrait phones give both turned.
    const s = this.track.getSettings();
    const long = Math.max(s.width ?? videoWidth, s.height ?? 0, videoWidth);
    return Math.max(1, this.#stillWidth / long);
  }

  /** A full-size still. Where the browser has no ImageCapture, the video's own picture. */
  async shoot(video: HTMLVideoElement): Promise<Blob> {
    if (this.#still) {
      try {
        return await this.#still.takePhoto(
          this.#stillWidth ? { imageWidth: this.#stillWidth } : {},
        );
      } catch {
        // Some cameras refuse the size they announced, some refuse while focusing.
        try {
          return await this.#still.takePhoto();
        } catch {
          this.#still = undefined; // below
        }
      }
    }
    const canvas = document.createElement("canvas");
    canvas.width = video.videoWidth;
    canvas.height = video.videoHeight;
    const c = canvas.getContext("2d");
    if (!c || canvas.width === 0) throw new CameraError("missing");
    c.drawImage(video, 0, 0);
    return new Promise((resolve, reject) =>
      canvas.toBlob(
        (b) => (b ? resolve(b) : reject(new CameraError("missing"))),
        "image/jpeg",
        0.95,
      ),
    );
  }

  async #set(c: MoreConstraints): Promise<boolean> {
    try {
      await this.track.applyConstraints({ advanced: [c as MediaTrackConstraintSet] });
      return true;
    } catch {
      return false;
    }
  }

  setTorch(on: boolean): Promise<boolean> {
    return this.#set({ torch: on });
  }

  setZoom(zoom: number): Promise<boolean> {
    return this.#set({ zoom });
  }

  /** Focuses at a place of the picture, fractions from its top left; in the middle where places can't be named. */
  focus(x = 0.5, y = 0.5): Promise<boolean> {
    return this.#set({
      focusMode: "single-shot",
      ...(this.offers.focusPoint && { pointsOfInterest: [{ x, y }] }),
    });
  }

  close(): void {
    for (const t of this.stream.getTracks()) t.stop();
  }
}

let kept: Promise<Camera> | undefined;

/**
 * The one camera of this visit: opened once and kept, because iOS asks for leave each time anew.
 * A screen shows `stream` in a video element and hides it, and does not close it.
 */
export async function camera(): Promise<Camera> {
  const c = await kept?.catch(() => undefined);
  if (c?.alive) return c;
  kept = Camera.open();
  return kept;
}

/** Ends the camera: the builder has left the live view for good, or the page is hidden. */
export async function endCamera(): Promise<void> {
  const c = await kept?.catch(() => undefined);
  kept = undefined;
  c?.close();
}
