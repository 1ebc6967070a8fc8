// The bench's helpers: laying out, tools and the room that they need.
import type { JSX } from "preact";
import { BendScreen } from "../bench/bend";
import { LayScreen } from "../bench/lay";
import { RivetScreen } from "../bench/rivet";
import { RoomScreen } from "../bench/room";
import { ShapeScreen } from "../bench/shape";
import { StagesScreen } from "../bench/stages";
import { ToolsScreen } from "../bench/tools";

export function bench([a = "", id = "", what = ""]: string[]): JSX.Element | undefined {
  if (a === "tools") return <ToolsScreen />;
  switch (what) {
    case "lay":
      return <LayScreen id={id} />;
    case "stages":
      return <StagesScreen id={id} />;
    case "bend":
      return <BendScreen id={id} />;
    case "rivet":
      return <RivetScreen id={id} />;
    case "shape":
      return <ShapeScreen id={id} />;
    case "room":
      return <RoomScreen id={id} />;
  }
  return undefined;
}
