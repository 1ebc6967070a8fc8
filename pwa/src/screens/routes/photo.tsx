// From the live view to the saved reading.
import type { JSX } from "preact";
import { ResultScreen } from "../photo/result";
import { SnapScreen } from "../photo/snap";
import { WaitingPhotos } from "../photo/waiting";
import { memory } from "../prefs";

export function photo([a = "", id = ""]: string[]): JSX.Element | undefined {
  switch (a) {
    case "photos":
      return <WaitingPhotos />;
    case "photo":
      return <ResultScreen id={id} />;
    case "part":
      return <SnapScreen part={id} />;
    case "snap":
      return memory.value?.part ? <SnapScreen part={memory.value.part} /> : undefined;
  }
  return undefined;
}
