// The arrows that move a handle by small steps.
import { useEffect, useRef } from "preact/hooks";
import { w } from "../../words";
import { say } from "../kit/say";
import { Icon } from "../kit/shapes";
import { sideways, upright, type Handle } from "./handles";

export function Arrows({
  nudge,
  of,
}: {
  nudge: (dx: number, dy: number, times: number) => void;
  of: Handle["name"];
}) {
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
        <Press
          key={icon}
          icon={icon}
          name={name}
          why={(dx ? upright(of) : sideways(of)) ? w.correct.inOrOut : undefined}
          act={(n) => nudge(dx, dy, n)}
        />
      ))}
    </div>
  );
}

/** A press moves by one step; held, by five at a time. */
function Press({
  icon,
  name,
  why,
  act,
}: {
  icon: string;
  name: string;
  why: string | undefined;
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
      aria-disabled={why ? "true" : undefined}
      onClick={() => (why ? say(why) : act(1))}
      onPointerDown={() => {
        stop();
        if (why) return;
        t.current = setInterval(() => latest.current(5), 400);
      }}
      onPointerUp={stop}
      onPointerLeave={stop}
    >
      <Icon i={icon} />
    </button>
  );
}
