// Who holds this device: builders write, inspectors read and sign.
import { signal } from "@preact/signals";
import type { Role } from "../bridge/types";
import { changed } from "../data/changes";
import { setting, type Identity } from "../data/db";

export const identity = signal<Identity | undefined>(undefined);
changed.subscribe(() => {
  void setting("identity").then(
    (i) => {
      identity.value = i;
    },
    () => undefined,
  );
});

/** Who this device is, from its disk; before the first screen. */
export async function readIdentity(): Promise<Identity | undefined> {
  identity.value = await setting("identity");
  return identity.value;
}

/** Whether a path is for builders alone: an inspector's device does not offer it. */
export function isBuilders([a = "", id = "", what = ""]: string[]): boolean {
  switch (a) {
    case "snap":
    case "photo":
    case "photos":
    case "project":
    case "cards":
    case "tools":
    case "prove":
      return true;
    case "part":
      return (
        id === "new" ||
        [
          "snap",
          "layout",
          "edit",
          "lay",
          "room",
          "bend",
          "rivet",
          "stages",
          "edges",
          "order",
          "prep",
        ].includes(what)
      );
    case "location":
      return !["", "note"].includes(what);
  }
  return false;
}

export const useRole = (): Role => identity.value?.role ?? "builder";
