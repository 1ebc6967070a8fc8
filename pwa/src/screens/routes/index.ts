// Screens come in groups, each a script of its own: the first one stands before the others are
// read. All of them are on the phone, and all are read when there is time.
import { signal } from "@preact/signals";
import type { JSX } from "preact";
import { memory } from "../prefs";

export type Group = (path: string[]) => JSX.Element | undefined;
type Name = "setup" | "parts" | "photo" | "more" | "bench";

/** What the bench's helpers are called in a part's path. */
const bench = ["lay", "room", "bend", "rivet", "shape", "stages", "edges", "order", "like", "prep"];

const fetches: Record<Name, () => Promise<Group>> = {
  setup: async () => (await import("./setup")).setup,
  parts: async () => (await import("./parts")).parts,
  photo: async () => (await import("./photo")).photo,
  more: async () => (await import("./more")).more,
  bench: async () => (await import("./bench")).bench,
};
const here = signal<Partial<Record<Name, Group>>>({});

function nameOf([a = "", id = "", what = ""]: string[]): Name {
  switch (a) {
    case "pair":
    case "sample":
    case "cards":
      return "setup";
    case "tools":
    case "prove":
      return "bench";
    case "":
    case "parts":
    case "project":
      return "parts";
    case "photo":
    case "photos":
      return "photo";
    case "snap":
      return memory.value?.part ? "photo" : "parts";
    case "part":
      if (what === "snap") return "photo";
      if (bench.includes(what)) return "bench";
      return id === "new" || ["", "layout", "limits", "edit", "more"].includes(what)
        ? "parts"
        : "more";
  }
  return "more";
}

async function read(name: Name): Promise<void> {
  if (here.peek()[name]) return;
  const group = await fetches[name]();
  here.value = { ...here.peek(), [name]: group };
}

/** The group that draws this path; undefined until it is read, see readGroup. */
export const groupOf = (path: string[]): Group | undefined => here.value[nameOf(path)];

/** Reads the group of this path. */
export const readGroup = (path: string[]): Promise<void> => read(nameOf(path));

/** Reads all groups, one after the other. */
export async function readAllGroups(): Promise<void> {
  for (const name of Object.keys(fetches) as Name[]) await read(name);
}
