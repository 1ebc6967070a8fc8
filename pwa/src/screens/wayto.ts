import type { LocationView, Next } from "../bridge/types";
import { path } from "../router";

/** Where something that can be done at a location is done. */
export const wayTo = (v: LocationView, n: Next): string =>
  n === "photo"
    ? `${path("part", v.part.id, "snap")}?at=${v.location.id}`
    : path(
        "location",
        v.location.id,
        {
          gauge: "gauge",
          decide: "decide",
          "drill out": "rework",
          "set rivet": "attempt",
          change: "edit",
        }[n],
      );
