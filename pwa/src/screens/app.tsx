import { route } from "../router";
import { PartScreen } from "./parts/part";
import { PartsScreen } from "./parts/parts";
import { PartEdit, ProjectEdit } from "./parts/edit";
import { LayoutScreen } from "./parts/layout";
import { LimitsScreen } from "./parts/limits";

export function App() {
  const p = route.value.path;
  if (p[0] === "part" && p[1] === "new") return <PartEdit />;
  if (p[0] === "project") return <ProjectEdit />;
  if (p[2] === "layout") return <LayoutScreen id={p[1]!} />;
  if (p[2] === "limits") return <LimitsScreen id={p[1]!} />;
  if (p[0] === "part" && p[1]) return <PartScreen id={p[1]} />;
  return <PartsScreen />;
}
