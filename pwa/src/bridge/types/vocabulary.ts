// The fixed words of both sides, and what is said to a person.
export type Verdict = "within" | "out" | "too close";
/** Of a location: "unread" where all that was read is within, but not all was read. */
export type Whole = Verdict | "unread";
/** What can be done at a location. */
export type Next = "photo" | "gauge" | "decide" | "drill out" | "set rivet" | "change";
/** Who chose the limits in force. */
export type Origin = "location" | "part" | "project" | "default";
export type Kind = "shop-head" | "universal-head" | "pulled-head" | "flush-head" | "hole";
export type Stage = "marked" | "pilot hole" | "final hole" | "set rivet" | "drilled out";
/** How far a drilled hole is prepared, in the order of the work. */
export type Prep = "taken apart" | "deburred" | "cleaned" | "primed" | "refitted";
export type Disposition =
  "drill out" | "keep" | "re-measure" | "refer to the designer" | "confirmed" | "rejected";
export type WorkKind =
  | "drill out"
  | "measure by hand"
  | "set a new rivet"
  | "decide"
  | "refer"
  | "inspectors disagree"
  | "inspector asks";
export type Role = "builder" | "inspector";
export type Units = "mm" | "in";
export type Paper = "a4" | "letter";
export type How = "photo" | "photo with hand-placed mark" | "hand gauge" | "layout";
export type Seen = "yes" | "no" | "not looked";
export type Quantity =
  | "head_d_mean"
  | "head_d_max"
  | "head_d_min"
  | "hole_d_mean"
  | "hole_d_max"
  | "hole_d_min"
  | "out_of_round"
  | "mandrel_off"
  | "edge_distance"
  | "pitch"
  | "head_height"
  | "leg_distance";
/** How a figure of the tables was had; Go says it in words. */
export type Basis = string;
export type Point = [number, number];
/** Of an outline: its points farthest to the photo's right, bottom, left and top. */
export type Sides = [Point, Point, Point, Point];

/** What could not be done with what was given, and what to do: shown as it is. */
export interface Refusal {
  code: string;
  text: string;
  do: string;
}
export interface Note {
  code: string;
  text: string;
}
