// Answers that stay up to date, for screens.
import { effect, signal, type ReadonlySignal } from "@preact/signals";
import type { Ask, CallName, Told } from "../bridge/types";
import { book } from "./book";
import { changed } from "./changes";

export interface Live<T> {
  /** Undefined until the first answer. */
  value: T | undefined;
  error: unknown;
}

/**
 * Asks the record and asks again whenever it changed. The old answer stays until the new one is
 * there, so nothing jumps. Call stop when the screen goes.
 */
export function live<K extends CallName>(
  name: K,
  ask: Ask<K>,
): { answer: ReadonlySignal<Live<Told<K>>>; stop: () => void } {
  const answer = signal<Live<Told<K>>>({ value: undefined, error: undefined });
  let run = 0;
  const stop = effect(() => {
    void changed.value;
    const mine = ++run;
    book.call(name, ask).then(
      (value) => {
        if (mine === run) answer.value = { value, error: undefined };
      },
      (error: unknown) => {
        if (mine === run) answer.value = { value: answer.peek().value, error };
      },
    );
  });
  return {
    answer,
    stop: () => {
      run = -1;
      stop();
    },
  };
}
