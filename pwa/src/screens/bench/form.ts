// What is typed into a helper's form: kept while the app's tab is open, read by the Go side.
import { useEffect, useState } from "preact/hooks";
import type { Ask, CallName, Told } from "../../bridge/types";
import { book } from "../../data/book";
import { helpers } from "../../data/template";
import { units } from "../prefs";
import type { Lengths } from "./numbers";

/** What was kept under a key; undefined where nothing was, or the browser keeps nothing. */
function keptAt(key: string): unknown {
  try {
    const s = sessionStorage.getItem(key);
    return s === null ? undefined : JSON.parse(s);
  } catch {
    return undefined;
  }
}

/**
 * State of a form that is still there when the builder comes back, after a reload too. Where lengths are
 * typed into it its key names their unit: 25 in millimetres is not 25 in inches.
 */
export function useKept<T>(key: string, first: T): [T, (v: T) => void] {
  const [v, set] = useState<T>(() => (keptAt(`bench ${key}`) as T | undefined) ?? first);
  return [
    v,
    (n) => {
      try {
        sessionStorage.setItem(`bench ${key}`, JSON.stringify(n));
      } catch {
        // The form is still there until the screen is left.
      }
      set(n);
    },
  ];
}

/** Lengths of what was typed; undefined until they are read the first time. */
export function useLengths<K extends string>(texts: Record<K, string>): Lengths<K> | undefined {
  const told = useAsk("lengths", { units: units.value, texts });
  return told.value as Lengths<K> | undefined;
}

/** Of these the answer has lengths in its words: it is asked for in the chosen units. */
const worded = new Set<CallName>(["layout", "bend", "drillup", "rivet", "shape", "room"]);

/** What the program for papers answers, which lays out and bends for its templates anyway: no photo waits for it. */
const apart = new Set<CallName>([
  ...worded,
  "bend.choices",
  "preparation",
  "keep",
  "study",
  "study.match",
]);

/** Asks the Go side anew when what is asked changes; keeps the last answer until the next is there. */
export function useAsk<N extends CallName>(
  name: N,
  ask: Ask<N> | undefined,
): { value?: Told<N>; error?: unknown } {
  const [told, set] = useState<{ value?: Told<N>; error?: unknown }>({});
  const asked = ask && worded.has(name) ? { ...ask, units: units.value } : ask;
  useEffect(() => {
    if (!asked) return set({});
    let gone = false;
    (apart.has(name) ? helpers : book).call(name, asked).then(
      (value) => {
        if (!gone) set({ value });
      },
      (error: unknown) => {
        if (!gone) set({ error });
      },
    );
    return () => {
      gone = true;
    };
  }, [asked && JSON.stringify(asked)]);
  return told;
}

/** A length as it is typed in the chosen units, for filling a form. */
export const typed = (mm: number | undefined): string =>
  mm === undefined || mm === 0
    ? ""
    : units.value === "in"
      ? String(Math.round((mm / 25.4) * 1e4) / 1e4)
      : String(Math.round(mm * 1e4) / 1e4);
