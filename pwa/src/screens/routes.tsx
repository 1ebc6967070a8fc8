// Screens that are opened less often.
import type { JSX } from "preact";

export function more(_p: string[]): JSX.Element | undefined {
  return undefined;
}
