// What is known of sizes, limit sets and rivets.
import type { Question } from "./judging";
import type { Cite } from "./rework";
import type { Kind, Stage, Disposition, Whole } from "./vocabulary";

export interface Size {
  text: string;
  nominal_mm: number;
  dash?: number;
  /** Where a drill was named: the hole that it makes. */
  drill?: string;
  rivet?: "solid" | "pulled";
  hole?: Stage;
}
export interface LimitSet {
  name: string;
  title: string;
  about: string;
  source: string;
}
export interface SolidRivet extends Cite {
  dash: number;
  fraction: string;
  nominal_mm: number;
  length_step_mm: number;
}
export interface PulledRivet extends Cite {
  size: string;
  nominal_mm: number;
  head: string;
  body_min_mm: number;
  body_max_mm: number;
  head_min_mm: number;
  head_max_mm: number;
  height_max_mm: number;
  mandrel_max_mm?: number;
}

/** What choices are made from; never changes while the app runs. */
export interface Handbook {
  kinds: Kind[];
  stages: Stage[];
  dispositions: Disposition[];
  sets: LimitSet[];
  default_set: string;
  questions: Question[];
  /** The worst first. */
  verdicts: Whole[];
  solid: SolidRivet[];
  pulled: PulledRivet[];
  caution: string;
}
