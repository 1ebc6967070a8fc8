// The camera while the live view stands, and what guides it. Ended while the page is hidden.
import { useEffect, useRef, useState } from "preact/hooks";
import { camera, CameraError, endCamera, type Camera } from "../../capture/camera";
import { guide, type Guidance } from "../../capture/guide";
import { eye } from "../../eye";

export function useCamera() {
  const [cam, setCam] = useState<Camera>();
  const [none, setNone] = useState<CameraError>();
  const [g, setG] = useState<Guidance>();
  const video = useRef<HTMLVideoElement>(null);
  useEffect(() => {
    let gone = false;
    camera().then(
      (c) => {
        if (!gone) setCam(c);
      },
      (x: unknown) => {
        if (!gone) setNone(x instanceof CameraError ? x : new CameraError("missing", x));
      },
    );
    return () => {
      gone = true;
    };
  }, []);
  useEffect(() => {
    const el = video.current;
    if (!cam || !el) return;
    el.srcObject = cam.stream;
    void el.play().catch(() => undefined);
    const now = guide(eye, el, { stillScale: (x) => cam.stillScale(x) });
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
      } else camera().then(setCam, () => undefined);
    };
    document.addEventListener("visibilitychange", hide);
    return () => document.removeEventListener("visibilitychange", hide);
  }, []);
  return { video, cam, none, g };
}
