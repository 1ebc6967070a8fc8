// What is typed into the layout helper, and what the Go side is asked with it.
import type { LayInput, LayLeg, Spec, Tool } from "../../bridge/types";
import { typed, type Lengths } from "./form";

export type Shape = "angle" | "strip" | "corner";
export interface LayerTyped {
  name: string;
  from: string;
  to: string;
  start: string;
  end: string;
}
export const lengthKeys = [
  "width",
  "length",
  "sheet",
  "radius",
  "stand",
  "width2",
  "length2",
  "tube",
  "tube2",
  "corner",
  "starts",
  "nose",
  "noseLength",
  "body",
  "margin",
  "pitch",
  "end",
  "row",
] as const;
export type LengthKey = (typeof lengthKeys)[number];

export interface LayTyped extends Record<LengthKey, string> {
  shape: Shape;
  bent: string;
  angle: string;
  tool: string;
  rows: "1" | "2";
  mirrored?: boolean;
  count: string;
  layers: LayerTyped[];
}

const empty = Object.fromEntries(lengthKeys.map((k) => [k, ""])) as Record<LengthKey, string>;
export const noLayout: LayTyped = {
  ...empty,
  shape: "angle",
  bent: "90",
  angle: "90",
  tool: "",
  rows: "1",
  count: "",
  layers: [],
};
export const noLayer: LayerTyped = { name: "", from: "", to: "", start: "", end: "" };

/** A tool of the record is chosen by its name, one typed here by this. */
export const TYPED = "\u0000typed";

export const layerTexts = (d: LayTyped): Record<string, string> =>
  Object.fromEntries(
    d.layers.flatMap((y, i) =>
      (["from", "to", "start", "end"] as const).map((k) => [`${k}:${i}`, y[k]]),
    ),
  );

/** The question to the Go side; undefined while a measure is missing or can't be read. */
export function layInput(
  d: LayTyped,
  mm: Lengths<string>,
  o: { spec: Spec; name: string; tools: Tool[] },
): LayInput | undefined {
  const v = (k: string): number | undefined => mm[k]?.mm;
  if (Object.values(mm).some((x) => x.wrong)) return undefined;
  const needed: LengthKey[] = ["width", "length", "sheet"];
  if (d.shape === "angle") needed.push("stand");
  if (d.shape === "corner") needed.push("width2", "length2");
  if (needed.some((k) => v(k) === undefined)) return undefined;
  const wanted = {
    ...(v("row") && d.shape !== "corner" && { row_mm: v("row")! }),
    ...(v("pitch") && { pitch_mm: v("pitch")! }),
    ...(v("end") && { end_mm: v("end")! }),
    ...(Number(d.count) > 0 && d.shape !== "corner" && { count: Math.floor(Number(d.count)) }),
  };
  const tube = (w: number | undefined, from?: number): LayLeg["layers"] =>
    w
      ? [
          {
            name: "tube",
            tube: true,
            from_mm: 0,
            to_mm: w,
            corner_mm: v("corner") ?? 0,
            ...(from && { start_mm: from }),
          },
        ]
      : [];
  const others = d.layers
    .map((y, i) => ({ y, i }))
    .filter(({ y }) => y.name.trim())
    .map(({ y, i }) => ({
      name: y.name.trim(),
      ...edge("from_mm", v(`from:${i}`)),
      ...edge("to_mm", v(`to:${i}`)),
      ...edge("start_mm", v(`start:${i}`)),
      ...edge("end_mm", v(`end:${i}`)),
    }));
  const first: LayLeg = {
    width_mm: v("width")!,
    length_mm: v("length")!,
    thickness_mm: v("sheet")!,
    ...wanted,
    layers: [...(tube(d.shape === "corner" ? v("tube") : undefined) ?? []), ...others],
    ...(d.shape === "angle" && {
      bend: {
        thickness_mm: v("sheet")!,
        radius_mm: v("radius") ?? 0,
        leg_mm: v("stand")!,
        angle_deg: Number(d.bent.replace(",", ".")) || 0,
      },
    }),
  };
  const tool =
    d.tool === TYPED && v("nose")
      ? {
          name: "tool",
          nose_mm: v("nose")!,
          ...(v("noseLength") && { length_mm: v("noseLength")! }),
          ...(v("body") && { body_mm: v("body")! }),
        }
      : o.tools.find((t) => t.name === d.tool);
  return {
    name: o.name,
    spec: o.spec,
    rows: Number(d.rows),
    ...(d.mirrored && { mirrored: true }),
    legs:
      d.shape === "corner"
        ? [
            first,
            {
              ...wanted,
              width_mm: v("width2")!,
              length_mm: v("length2")!,
              thickness_mm: v("sheet")!,
              layers: tube(v("tube2"), v("starts")) ?? [],
            },
          ]
        : [first],
    ...(d.shape === "corner" && { angle_deg: Number(d.angle.replace(",", ".")) || 0 }),
    ...(tool && { tool: plain(tool) }),
    ...(v("margin") && { margin_mm: v("margin")! }),
  };
}

const edge = (k: string, mm: number | undefined): Record<string, number> =>
  mm === undefined ? {} : { [k]: mm };

/** A tool without the id of its entry. */
export function plain(t: Tool & { id?: string }): Tool {
  const { id: _, ...rest } = t;
  return rest;
}

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
