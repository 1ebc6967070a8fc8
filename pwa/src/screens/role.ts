// Who holds this device: builders write, inspectors read and sign.
import { signal } from "@preact/signals";
import type { Role } from "../bridge/types";
import { changed } from "../data/changes";
import { setting, type Identity } from "../data/db";

export const identity = signal<Identity | undefined>(undefined);
changed.subscribe(() => { void setting("identity").then((i) => { identity.value = i; }, () => undefined); });

export const useRole = (): Role => identity.value?.role ?? "builder";
