// The layout form as a plan that was kept fills it.
import type { LayInput, Tool } from "../../bridge/types";
import { typed } from "./form";
import { noLayout, TYPED, type LayTyped } from "./layinput";

/** The form of a plan that was kept. */
export function typedOf(p: LayInput, tools: Tool[]): LayTyped {
  const [a, b] = p.legs;
  if (!a) return noLayout;
  const tubeA = a.layers?.find((y) => y.tube),
    tubeB = b?.layers?.find((y) => y.tube);
  const known = tools.some((t) => t.name === p.tool?.name);
  return {
    ...noLayout,
    shape: b ? "corner" : a.bend ? "angle" : "strip",
    width: typed(a.width_mm),
    length: typed(a.length_mm),
    sheet: typed(a.thickness_mm),
    radius: typed(a.bend?.radius_mm),
    stand: typed(a.bend?.leg_mm),
    bent: String(a.bend?.angle_deg ?? 90),
    width2: typed(b?.width_mm),
    length2: typed(b?.length_mm),
    angle: String(p.angle_deg ?? 90),
    tube: typed(tubeA?.to_mm),
    tube2: typed(tubeB?.to_mm),
    corner: typed(tubeA?.corner_mm ?? tubeB?.corner_mm),
    starts: typed(tubeB?.start_mm),
    tool: !p.tool ? "" : known ? p.tool.name : TYPED,
    nose: typed(p.tool?.nose_mm),
    noseLength: typed(p.tool?.length_mm),
    body: typed(p.tool?.body_mm),
    margin: typed(p.margin_mm),
    rows: p.rows === 2 ? "2" : "1",
    ...(p.mirrored && { mirrored: true }),
    count: a.count ? String(a.count) : "",
    pitch: typed(a.pitch_mm),
    end: typed(a.end_mm),
    row: typed(a.row_mm),
    layers: (a.layers ?? [])
      .filter((y) => !y.tube)
      .map((y) => ({
        name: y.name,
        from: y.from_mm === undefined ? "" : typed(y.from_mm) || "0",
        to: typed(y.to_mm),
        start: y.start_mm === undefined ? "" : typed(y.start_mm) || "0",
        end: typed(y.end_mm),
      })),
  };
}
