// A step of a numbered list.
import type { ComponentChildren } from "preact";

export function Step({
  n,
  now,
  done,
  children,
}: {
  n: number;
  now: boolean;
  done: boolean;
  locked?: boolean;
  children: ComponentChildren;
}) {
  return (
    <li class={now ? "now" : done ? "done" : ""} aria-current={now ? "step" : undefined}>
      <span class="n" aria-hidden="true">
        {done ? "–" : n}
      </span>
      <div class="grow">{children}</div>
    </li>
  );
}
