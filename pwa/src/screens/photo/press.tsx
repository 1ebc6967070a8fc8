import { useEffect, useRef } from "preact/hooks";
import { Icon } from "../kit/shapes";

/** A press moves by one step; held, by five at a time. */
export function Press({
  icon,
  name,
  act,
}: {
  icon: string;
  name: string;
  act: (times: number) => void;
}) {
  const t = useRef<ReturnType<typeof setInterval> | undefined>(undefined),
    latest = useRef(act);
  latest.current = act;
  const stop = (): void => clearInterval(t.current);
  useEffect(() => stop, []);
  return (
    <button
      type="button"
      class="btn"
      aria-label={name}
      onClick={() => act(1)}
      onPointerDown={() => {
        stop();
        t.current = setInterval(() => latest.current(5), 400);
      }}
      onPointerUp={stop}
      onPointerLeave={stop}
    >
      <Icon i={icon} />
    </button>
  );
}
