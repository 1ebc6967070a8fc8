// Numbers as they are typed for a row or a grid, and the places that follow from them.
import type { Pin } from "../../bridge/types";

export const number = (s: string): number => Number(s.replace(",", "."));
export const count = (s: string): number => Math.max(0, Math.min(200, Math.floor(number(s)) || 0));

/** Places between two points: a row, or a grid filled row by row. */
export function between(a: Pin, b: Pin, across: number, down: number): Pin[] {
  const out: Pin[] = [];
  for (let j = 0; j < down; j++)
    for (let i = 0; i < across; i++) {
      const u = across > 1 ? i / (across - 1) : 0,
        v = down > 1 ? j / (down - 1) : 0;
      out.push(
        down > 1
          ? { x: a.x + (b.x - a.x) * u, y: a.y + (b.y - a.y) * v }
          : { x: a.x + (b.x - a.x) * u, y: a.y + (b.y - a.y) * u },
      );
    }
  return out;
}
