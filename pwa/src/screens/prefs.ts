// How the app looks to this hand and eye (kept beside the page, known at once), and what it
// remembers of the work (kept with the record it belongs to).
import { computed, signal } from "@preact/signals";
import type { Kind, Units } from "../bridge/types";
import type { Draft, EntryOut } from "../bridge/types";
import { mergePreferences, setting } from "../data/db";
import { save } from "../data/entries";

export interface Look {
  theme: "auto" | "light" | "dark" | "outdoor";
  hand: "right" | "left";
  large: boolean;
}
export interface Memory {
  project?: string;
  part?: string;
  /** Entry of the card calibration in use. */
  card?: string;
  units?: Units;
  fractions?: boolean;
  /** What was looked at last, by part. */
  lookAt?: Record<string, Kind | "pilot" | "mark">;
  /** What the size typed at a part or location is in mm, and how it was typed. */
  sizes?: Record<string, string>;
  /** Who decides, as typed, and who did before, latest first. */
  inspector?: Inspector;
  inspectors?: Inspector[];
  /** The page that decisions are entered from. */
  page?: PaperPage;
  seenStart?: boolean;
  /** Drillings-out that are not finished, by location. */
  rework?: Record<string, Begun>;
  /** What was measured with by hand last. */
  instrument?: string;
}

/** How far a rivet is drilled out, and what was typed. */
export interface Begun {
  attempt: number;
  at: number;
  drill: string;
  reason: string;
}

export interface Inspector {
  name: string;
  number: string;
}
/** A page that an inspector wrote: who, when, and its photo. */
export interface PaperPage extends Inspector {
  photo: string;
  date: string;
  no: string;
}

const KEY = "bucktail-look";
const usual: Look = { theme: "auto", hand: "right", large: false };

function stored(): Look {
  try {
    return { ...usual, ...(JSON.parse(localStorage.getItem(KEY) ?? "{}") as Partial<Look>) };
  } catch {
    return usual;
  }
}

export const look = signal<Look>(stored());
const dark = matchMedia("(prefers-color-scheme: dark)");

/** The one that is worn, also where the phone chooses. */
export const theme = signal<Exclude<Look["theme"], "auto">>("light");

function dress(): void {
  const h = document.documentElement.dataset;
  const l = look.value;
  h["theme"] = theme.value = l.theme === "auto" ? (dark.matches ? "dark" : "light") : l.theme;
  h["hand"] = l.hand;
  h["large"] = l.large ? "yes" : "no";
}
dark.addEventListener("change", dress);
look.subscribe(dress);

export function setLook(change: Partial<Look>): void {
  look.value = { ...look.value, ...change };
  try {
    localStorage.setItem(KEY, JSON.stringify(look.value));
  } catch {
    // A browser that keeps nothing: the look lasts as long as the page.
  }
}

/** Undefined until it is read. */
export const memory = signal<Memory | undefined>(undefined);

export async function readMemory(): Promise<Memory> {
  memory.value = ((await setting("preferences")) as Memory | undefined) ?? {};
  return memory.value;
}

/** Resolves when it is on the disk. What other tabs remembered meanwhile stays. */
export async function remember(change: Partial<Memory>): Promise<void> {
  memory.value = { ...memory.value, ...change };
  await mergePreferences({ ...change });
}

/** Writes entries and what follows from them for the screens in one go: either both outlive a reload or neither. */
export async function saveAndRemember(
  drafts: Draft[],
  change: (made: EntryOut[]) => Partial<Memory>,
): Promise<void> {
  const made = await save(drafts, { preferences: (e) => ({ ...change(e) }) });
  memory.value = { ...memory.value, ...change(made) };
}

export const units = computed<Units>(() => memory.value?.units ?? "mm");
export const fractions = computed<boolean>(
  () => units.value === "in" && (memory.value?.fractions ?? false),
);
