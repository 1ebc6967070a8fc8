// The steps of drilling out, and where each is from.
import type { Limit, Spec, Check } from "./judging";
import type { Verdict, Basis } from "./vocabulary";

export interface Cite {
  source: string;
  basis: Basis;
  note?: string;
}
export interface Caution extends Cite {
  id: string;
  task: string[];
  text: string;
}
export interface Step {
  text: string;
  cautions?: Caution[];
  sources: Cite[];
}
export interface NextSize {
  spec: Spec;
  name: string;
  drill?: string;
  hole_check: Limit[] | null;
  checks: Check[] | null;
  verdict: Verdict | "";
  unread?: Limit[];
}
export interface Rework {
  steps: Step[];
  hole_check: Limit[] | null;
  next_size?: NextSize;
  notes: string[];
}
