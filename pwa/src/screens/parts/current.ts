// The project in hand.
import type { Project } from "../../bridge/types";
import { memory } from "../prefs";

/** The project that was chosen on this phone, else the newest. */
export function currentProject(projects: Project[] | undefined): Project | undefined {
  const chosen = memory.value?.project;
  return projects?.find((p) => p.id === chosen) ?? projects?.at(-1);
}
