// Numbers as they are typed into a helper's form, and what the Go side read of lengths there.

export type Lengths<K extends string> = Record<K, { mm?: number; wrong?: string }>;

/** A whole number as it is typed, 0 where nothing is; NaN for anything else. */
export const whole = (s: string): number => (/^\s*\d{0,4}\s*$/.test(s) ? Number(s) : NaN);

/** Degrees that a sheet is bent through, or between two legs; NaN for what is none. */
export const degrees = (s: string): number => (signed(s) > 0 ? signed(s) : NaN);

/** A number with a sign, millimetres or degrees; NaN for anything else. */
export const signed = (s: string): number =>
  Number(
    /^\s*([-+\u2212]?\s*(\d*[.,]?\d+|\d+[.,]))\s*(mm|°)?\s*$/
      .exec(s)?.[1]
      ?.replace(/\s/g, "")
      .replace("\u2212", "-")
      .replace(",", ".") ?? NaN,
  );
