// Lengths for people, as package qc shows them (qc/unit.go): screens need them at once, so they are
// spelled here again. The unit tests hold every one of these against the Go side over thousands of
// values.
import type { Limit, Units } from "./types";

const MM_PER_INCH = 25.4;
const MINUS = "\u2212";

export interface ShowUnits {
  units: Units;
  fractions?: boolean;
}

const decimals = (u: Units): number => (u === "in" ? 3 : 2);
const of = (u: Units, mm: number): number => (u === "in" ? mm / MM_PER_INCH : mm);

/** Rounds halves away from zero, although their binary form may lie a hair under. */
function fixed(v: number, digits: number): string {
  const s = (v * (1 + 1e-12)).toFixed(digits);
  if (!s.startsWith("-")) return s;
  const rest = s.slice(1);
  return /[1-9]/.test(rest) ? MINUS + rest : rest; // no minus before a zero
}

/** "4.76", "0.187". */
export const number = (u: Units, mm: number): string => fixed(of(u, mm), decimals(u));

/** "4.76 mm". */
export const value = (u: Units, mm: number): string => `${number(u, mm)} ${u}`;

/** The uncertainty alone, with the value's decimals; above zero it is never shown as zero. */
export function uncertainty(u: Units, uMM: number): string {
  const least = 10 ** -decimals(u);
  const v = of(u, uMM);
  return fixed(v > 0 ? Math.max(v, least) : v, decimals(u));
}

/** "4.76 ± 0.12 mm". */
export const withU = (u: Units, mm: number, uMM: number): string =>
  `${number(u, mm)} ± ${uncertainty(u, uMM)} ${u}`;

/** "11/64 + 0.003 in": the nearest 64th of an inch and what is left over. */
export function fraction(mm: number): string {
  const sixtyfourths = (mm < 0 ? -1 : 1) * Math.round(Math.abs((mm / MM_PER_INCH) * 64));
  const restMM = mm - (sixtyfourths * MM_PER_INCH) / 64;
  const rest = fixed(Math.abs(restMM) / MM_PER_INCH, 3);
  if (rest === "0.000") return `${lowest(sixtyfourths)} in`;
  return `${lowest(sixtyfourths)} ${restMM < 0 ? MINUS : "+"} ${rest} in`;
}

function lowest(sixtyfourths: number): string {
  const sign = sixtyfourths < 0 ? MINUS : "";
  const n = Math.abs(sixtyfourths);
  const whole = Math.floor(n / 64);
  let num = n % 64,
    den = 64;
  while (num > 0 && num % 2 === 0) {
    num /= 2;
    den /= 2;
  }
  if (num === 0) return sign + whole;
  return whole === 0 ? `${sign}${num}/${den}` : `${sign}${whole} ${num}/${den}`;
}

/** A length as the builder has chosen to see it. */
export const length = (s: ShowUnits, mm: number): string =>
  s.units === "in" && s.fractions ? fraction(mm) : value(s.units, mm);

/** "min 7.14", "max 8.33" or "7.14 to 8.33", without unit. */
export function bounds(
  u: Units,
  l: Pick<Limit, "min_mm" | "max_mm">,
): { min?: string; max?: string } {
  return {
    ...(l.min_mm && { min: number(u, l.min_mm) }),
    ...(l.max_mm && { max: number(u, l.max_mm) }),
  };
}
