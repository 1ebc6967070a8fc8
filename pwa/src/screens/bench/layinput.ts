// What is typed into the layout helper, and what the Go side is asked with it.
import type { LayInput, LayLeg, Spec, Tool } from "../../bridge/types";
import { degrees, whole, type Lengths } from "./numbers";

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

const ofAngle = new Set<LengthKey>(["radius", "stand", "margin", "nose", "noseLength", "body"]),
  ofCorner = new Set<LengthKey>(["width2", "length2", "tube", "tube2", "corner", "starts"]),
  ofTyped = new Set<LengthKey>(["nose", "noseLength", "body"]);

/** The lengths that the form shows now: what was typed into another one is not asked about. */
export const lengthTexts = (d: LayTyped): Record<string, string> => ({
  ...Object.fromEntries(
    lengthKeys
      .filter(
        (k) =>
          (d.shape === "angle" || !ofAngle.has(k)) &&
          (d.shape === "corner" ? k !== "row" : !ofCorner.has(k)) &&
          (d.tool === TYPED || !ofTyped.has(k)) &&
          (d.tool !== "" || k !== "margin"),
      )
      .map((k) => [k, d[k]]),
  ),
  ...(d.shape === "corner" ? {} : layerTexts(d)),
});

/** Whether something in the form can't be read: it says there what. */
export const unreadable = (d: LayTyped, mm: Lengths<string>): boolean =>
  Object.values(mm).some((x) => x.wrong) ||
  (d.shape === "angle" && Number.isNaN(degrees(d.bent))) ||
  (d.shape === "corner" ? Number.isNaN(degrees(d.angle)) : Number.isNaN(whole(d.count)));

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

const layerTexts = (d: LayTyped): Record<string, string> =>
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
  if (unreadable(d, mm)) return undefined;
  const needed: LengthKey[] = ["width", "length", "sheet"];
  if (d.shape === "angle") needed.push("stand");
  if (d.shape === "corner") needed.push("width2", "length2");
  if (needed.some((k) => v(k) === undefined)) return undefined;
  const wanted = {
    ...(v("row") && d.shape !== "corner" && { row_mm: v("row")! }),
    ...(v("pitch") && { pitch_mm: v("pitch")! }),
    ...(v("end") && { end_mm: v("end")! }),
    ...(d.shape !== "corner" && whole(d.count) > 0 && { count: whole(d.count) }),
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
  const others = (d.shape === "corner" ? [] : d.layers)
    .map((y, i) => ({ y, i }))
    .filter(({ y }) => Object.values(y).some((x) => x.trim()))
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
        angle_deg: degrees(d.bent),
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
    ...(d.shape === "corner" && { angle_deg: degrees(d.angle) }),
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
