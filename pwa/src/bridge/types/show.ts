// Lengths as they are shown.
import type { Units } from "./vocabulary";

export interface ShowIn {
  units: Units;
  fractions?: boolean;
  mm: number;
  u_mm?: number;
}
export interface Shown {
  number: string;
  value: string;
  with_u: string;
  fraction: string;
}
