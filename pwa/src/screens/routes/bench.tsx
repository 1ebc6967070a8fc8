// The bench's helpers: laying out, tools and the room that they need.
import type { JSX } from "preact";
import { BendScreen } from "../bench/bend";
import { EdgesScreen } from "../bench/edges";
import { LayScreen } from "../bench/lay";
import { LikeScreen } from "../bench/like";
import { OrderScreen } from "../bench/order";
import { PrepScreen } from "../bench/prep";
import { ProveScreen } from "../bench/prove";
import { RivetScreen } from "../bench/rivet";
import { RoomScreen } from "../bench/room";
import { ShapeScreen } from "../bench/shape";
import { StagesScreen } from "../bench/stages";
import { ToolsScreen } from "../bench/tools";

export function bench([a = "", id = "", what = ""]: string[]): JSX.Element | undefined {
  if (a === "tools") return <ToolsScreen />;
  if (a === "prove") return <ProveScreen />;
  switch (what) {
    case "lay":
      return <LayScreen id={id} />;
    case "stages":
      return <StagesScreen id={id} />;
    case "bend":
      return <BendScreen id={id} />;
    case "rivet":
      return <RivetScreen id={id} />;
    case "edges":
      return <EdgesScreen id={id} />;
    case "order":
      return <OrderScreen id={id} />;
    case "like":
      return <LikeScreen id={id} />;
    case "prep":
      return <PrepScreen id={id} />;
    case "shape":
      return <ShapeScreen id={id} />;
    case "room":
      return <RoomScreen id={id} />;
  }
  return undefined;
}
