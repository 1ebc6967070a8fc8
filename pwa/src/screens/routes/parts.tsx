// Projects, parts, their layout and limits.
import type { JSX } from "preact";
import { PartEdit, ProjectEdit } from "../parts/edit";
import { LayoutScreen } from "../parts/layout";
import { LimitsScreen } from "../parts/limits";
import { PartMoreScreen } from "../parts/partmore";
import { PartScreen } from "../parts/part";
import { PartsScreen } from "../parts/parts";

export function parts([a = "", id = "", what = ""]: string[]): JSX.Element | undefined {
  switch (a) {
    case "":
    case "parts":
    case "snap":
      return <PartsScreen />;
    case "project":
      return id === "new" || !id ? <ProjectEdit /> : <ProjectEdit id={id} />;
    case "part":
      if (id === "new" || !id) return <PartEdit />;
      switch (what) {
        case "":
          return <PartScreen id={id} />;
        case "layout":
          return <LayoutScreen id={id} />;
        case "limits":
          return <LimitsScreen id={id} />;
        case "edit":
          return <PartEdit id={id} />;
        case "more":
          return <PartMoreScreen id={id} />;
      }
  }
  return undefined;
}
