// Text of two lines at most. What is longer is cut in its middle: names differ at their ends.
import { useLayoutEffect, useRef } from "preact/hooks";

const LINES = 2;

export function useFit<T extends HTMLElement>(text: string | undefined): { current: T | null } {
  const ref = useRef<T>(null);
  useLayoutEffect(() => {
    const el = ref.current;
    if (!el || text === undefined) return;
    const put = (s: string): void => {
      if (el.textContent !== s) el.textContent = s;
    };
    const fits = (): boolean => {
      const line = parseFloat(getComputedStyle(el).lineHeight);
      return !(el.scrollHeight > LINES * line + 2);
    };
    let width = -1;
    const fit = (): void => {
      if (el.clientWidth === width) return;
      width = el.clientWidth;
      put(text);
      if (fits()) return;
      let least = 3,
        most = Math.ceil(text.length / 2);
      while (most - least > 1) {
        const half = (least + most) >> 1;
        put(cut(text, half));
        if (fits()) least = half;
        else most = half;
      }
      put(cut(text, least));
    };
    fit();
    const o = new ResizeObserver(fit);
    o.observe(el);
    return () => o.disconnect();
  }, [text]);
  return ref;
}

/** Between words, where that leaves some. */
export function cut(s: string, half: number): string {
  const to = s.lastIndexOf(" ", half),
    from = s.indexOf(" ", s.length - half - 1);
  return `${s.slice(0, to > 0 ? to : half)} … ${s.slice(from > 0 ? from + 1 : -half)}`;
}
