// The arrows that move a handle by small steps.
import { useEffect, useRef } from "preact/hooks";
import { w } from "../../words";
import { Icon } from "../kit/shapes";

export function Arrows({ nudge }: { nudge: (dx: number, dy: number, times: number) => void }) {
  return (
    <div class="arrows">
      {(
        [
          ["back", -1, 0, w.correct.left],
          ["up", 0, -1, w.correct.up],
          ["down", 0, 1, w.correct.down],
          ["next", 1, 0, w.correct.right],
        ] as const
      ).map(([icon, dx, dy, name]) => (
        <Press key={icon} icon={icon} name={name} act={(n) => nudge(dx, dy, n)} />
      ))}
    </div>
  );
}

/** A press moves by one step; held, by five at a time. */
function Press({ icon, name, act }: { icon: string; name: string; act: (times: number) => void }) {
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
