// What is said of a photo that was not measured, and what can be done with it.
import type { ComponentChildren } from "preact";
import type { Refusal } from "../../bridge/types";
import { w } from "../../words";
import { sentence, Trouble, upper } from "../kit/bits";
import type { InWork } from "./usework";
import { WhatChoice } from "./whatchoice";

export function RefusedPhoto({
  k,
  problem,
  e,
  keep,
  children,
}: {
  k: InWork;
  problem: Refusal;
  e: unknown;
  /** Keeps it without a reading. */
  keep: () => void;
  children: ComponentChildren;
}) {
  return (
    <section class="scrolls right">
      <div class="pad stack">
        <h2 class="message">{upper(problem.text)}</h2>
        <p>{sentence(problem.do)}</p>
        <p class="note">{w.result.keptUnread}</p>
        <Trouble e={e} />
        <details>
          <summary>{w.result.otherWays}</summary>
          <div class="stack">
            <p class="note">{w.result.byHandNote}</p>
            <WhatChoice k={k} />
            <p>
              <button class="link" type="button" onClick={keep}>
                {w.result.keepUnread}
              </button>
            </p>
            {children}
          </div>
        </details>
      </div>
    </section>
  );
}
