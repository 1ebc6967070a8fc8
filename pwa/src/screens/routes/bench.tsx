// The bench's helpers: laying out, tools and the room that they need.
import type { JSX } from "preact";
import { LayScreen } from "../bench/lay";
import { RoomScreen } from "../bench/room";
import { ToolsScreen } from "../bench/tools";

export function bench([a = "", id = "", what = ""]: string[]): JSX.Element | undefined {
  if (a === "tools") return <ToolsScreen />;
  switch (what) {
    case "lay":
      return <LayScreen id={id} />;
    case "room":
      return <RoomScreen id={id} />;
  }
  return undefined;
}
