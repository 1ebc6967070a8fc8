// What hand gauges are offered for.
import type { Kind, Quantity } from "../../bridge/types";

const all: Quantity[] = [
  "head_d_min",
  "head_d_max",
  "head_d_mean",
  "hole_d_min",
  "hole_d_max",
  "hole_d_mean",
  "edge_distance",
  "pitch",
  "head_height",
  "out_of_round",
  "mandrel_off",
];

/** What can be measured by hand there: a plain hole has no head, nor has a hole that stands there now. */
export const gaugeable = (kind: Kind | undefined, measured: boolean): Quantity[] =>
  all.filter(
    (q) =>
      !((measured || kind === "hole") && q.startsWith(kind === "hole" ? "head" : "hole")) &&
      (q !== "mandrel_off" || kind === "pulled-head") &&
      (q !== "head_height" || kind !== "flush-head"),
  );
