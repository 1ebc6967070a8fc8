// The camera while the live view stands, and what guides it. Ended while the page is hidden.
import { useEffect, useRef, useState } from "preact/hooks";
import type { NextView, Point, Side } from "../../bridge/types";
import { camera, CameraError, endCamera, type Camera } from "../../capture/camera";
import { guide, type Guidance } from "../../capture/guide";
import { eye } from "../../eye";

/** From where one more photo is wanted, as the live view's frame has it. */
const toward: Record<Side, Point> = { left: [-1, 0], right: [1, 0], near: [0, 1], far: [0, -1] };

export function useCamera(next: Pick<NextView, "from" | "tilt_deg"> | undefined) {
  const wanted = useRef(next);
  wanted.current = next;
  const [cam, setCam] = useState<Camera>();
  const [none, setNone] = useState<CameraError>();
  const [g, setG] = useState<Guidance>();
  const video = useRef<HTMLVideoElement>(null);
  const gone = useRef(false);
  const open = (): void => {
    camera().then(
      (c) => {
        if (gone.current) return;
        setNone(undefined);
        setCam(c);
      },
      (x: unknown) => {
        if (!gone.current) setNone(x instanceof CameraError ? x : new CameraError("missing", x));
      },
    );
  };
  useEffect(() => {
    open();
    // Allowed in the browser's settings meanwhile: no need to ask for it here.
    let told: PermissionStatus | undefined;
    navigator.permissions?.query({ name: "camera" as PermissionName }).then(
      (p) => {
        if (gone.current) return;
        told = p;
        p.onchange = () => {
          if (p.state === "granted") open();
        };
      },
      () => undefined, // not every browser tells
    );
    return () => {
      gone.current = true;
      if (told) told.onchange = null;
    };
  }, []);
  useEffect(() => {
    const el = video.current;
    if (!cam || !el) return;
    el.srcObject = cam.stream;
    void el.play().catch(() => undefined);
    const now = guide(eye, el, {
      stillScale: (x) => cam.stillScale(x),
      want: () =>
        wanted.current
          ? { toward: toward[wanted.current.from], tilt_deg: wanted.current.tilt_deg }
          : {},
    });
    setG(now);
    return () => {
      now.stop();
      el.srcObject = null;
    };
  }, [cam]);
  useEffect(() => {
    const hide = (): void => {
      if (document.visibilityState === "hidden") {
        void endCamera();
        setCam(undefined);
      } else open();
    };
    document.addEventListener("visibilitychange", hide);
    return () => document.removeEventListener("visibilitychange", hide);
  }, []);
  return { video, cam, none, g, again: open };
}
