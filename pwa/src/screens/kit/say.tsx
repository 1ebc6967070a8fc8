// One sentence over the strip: what was done and where it went. It covers nothing that is pressed,
// stays until the next one, a press on it, or ten seconds, and is read out.
import { signal } from "@preact/signals";

const now = signal<{ text: string; n: number }>({ text: "", n: 0 });
let timer: ReturnType<typeof setTimeout> | undefined;

export function say(text: string): void {
  now.value = { text, n: now.value.n + 1 };
  clearTimeout(timer);
  timer = setTimeout(() => { now.value = { text: "", n: now.value.n + 1 }; }, 10_000);
}

export const Say = () => (
  <div class="sayplace" role="status">{now.value.text && <button type="button" key={now.value.n} onClick={() => { now.value = { text: "", n: now.value.n + 1 }; }}>{now.value.text}</button>}</div>
);
