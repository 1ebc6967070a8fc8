// The steps of drilling out, and where each is from.
import type { KnownLimit, Summary } from "./judging";
import type { Basis, Disposition } from "./vocabulary";

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
  /** Done by taking a photo. */
  photo?: boolean;
}
/** What fits a finding, for somebody who decides; the fitting choice first. */
export interface DecisionAdvice {
  choices: Disposition[];
  text: string;
  source: string;
}
/** What the next larger rivet would come to here. */
export interface NextSize extends Summary {
  name: string;
}
export interface Rework {
  steps: Step[];
  hole_check: KnownLimit[];
  next_size: NextSize | null;
  notes: string[];
}
