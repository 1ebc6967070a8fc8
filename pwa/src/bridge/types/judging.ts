// Readings, limits and what the judging makes of them.
import type { Verdict, Kind, Disposition, How, Seen, Quantity, Basis } from "./vocabulary";

export interface Contribution {
  label: string;
  u_mm: number;
  dof?: number;
  source?: string;
}

export interface Reading {
  quantity: Quantity;
  value_mm: number;
  U_mm: number;
  contributions?: Contribution[];
  how: How;
  warnings?: string[];
  method: string;
  photo?: string;
  less_mm?: number;
}

export interface Limit {
  quantity: Quantity;
  name: string;
  min_mm?: number;
  max_mm?: number;
  set: string;
  source: string;
  basis: Basis;
  note?: string;
  published?: Limit;
  laxer?: boolean;
}

export interface OwnLimit {
  quantity: string;
  kind?: Kind;
  size?: string;
  min_mm?: number;
  max_mm?: number;
  min_in?: number;
  max_in?: number;
  min_d?: number;
  max_d?: number;
  reference?: string;
  note?: string;
}
export interface OwnLimits {
  name: string;
  reference: string;
  limits: OwnLimit[];
}

export interface Spec {
  kind: Kind;
  nominal_mm: number;
  rivet?: "solid" | "pulled";
  flush?: boolean;
  pilot?: boolean;
  head?: string;
  limit_set?: string;
  own_limits?: OwnLimits;
}

export interface Check {
  reading: Reading;
  limit: Limit;
  verdict: Verdict;
  U_mm: number;
  added?: Contribution[];
  p_conform: number;
  notes?: string[];
}

export interface Result {
  verdict: Verdict | "";
  checks: Check[] | null;
  unread?: Limit[];
  notes?: string[];
}

export interface Question {
  id: string;
  kinds: Kind[];
  text: string;
  verdict: Verdict;
  source: string;
  basis: Basis;
  note?: string;
}
export interface Answer {
  question: string;
  seen: Seen;
  note?: string;
}

export interface Judged {
  result: Result;
  /** Of checks and answers together. */
  verdict: Verdict | "";
  answers_verdict: Verdict | "";
  suggest: Disposition | "";
  unlooked: Question[] | null;
}
