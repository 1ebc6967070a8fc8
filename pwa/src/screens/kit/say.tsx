// One sentence over the strip: what was done and where it went. What it covers can be scrolled out
// from under it; it stays until the next one, a press on it, or ten seconds, and is read out.
import { signal } from "@preact/signals";

/** Where the sentence leads, for what may have to be changed. */
interface More {
  text: string;
  to: string;
}

const now = signal<{ text: string; n: number; more?: More | undefined }>({ text: "", n: 0 });
let timer: ReturnType<typeof setTimeout> | undefined;

export function say(text: string, more?: More): void {
  now.value = { text, n: now.value.n + 1, more };
  clearTimeout(timer);
  timer = setTimeout(() => {
    now.value = { text: "", n: now.value.n + 1 };
  }, 10_000);
}

/** Takes a sentence away that is true no more. */
export function unsay(text: string): void {
  if (now.peek().text === text) hush();
}

/** Takes away whatever is said. */
export function hush(): void {
  if (now.peek().text) now.value = { text: "", n: now.peek().n + 1 };
}

export const Say = () => (
  <div class="sayplace" role="status">
    {now.value.text && (
      <div key={now.value.n}>
        <button
          type="button"
          onClick={() => {
            now.value = { text: "", n: now.value.n + 1 };
          }}
        >
          {now.value.text}
        </button>
        {now.value.more && (
          <a class="link" href={now.value.more.to}>
            {now.value.more.text}
          </a>
        )}
      </div>
    )}
  </div>
);
