// Plain numbers as they are typed.
import { w } from "../../words";

/** A decimal number above 0 as it is typed, NaN for anything else. */
export const decimal = (s: string): number =>
  /^\s*(\d+[.,]?\d*|[.,]\d+)\s*$/.test(s) ? Number(s.replace(",", ".")) || NaN : NaN;

/** What is said beneath a field where something else stands; an empty one is none. */
export const notDecimal = (s: string): string | undefined =>
  s.trim() && Number.isNaN(decimal(s)) ? w.needDecimal : undefined;
