// What a distance by hand may go to: the nearest, what the photo read too, or something else.
import type { LocationView, Place, Quantity, Reading, Stood, Target } from "../../bridge/types";
import { w } from "../../words";
import { nowAt } from "../finding";
import { shown } from "../hooks";

export const isDistance = (q: Quantity): boolean => q === "edge_distance" || q === "pitch";

/** One thing that a distance may go to; of is undefined where its name is still to be typed. */
export interface Goal {
  value: string;
  text: string;
  of: Target | undefined;
}

/** The usual choice first. */
export function goals(v: LocationView, places: Place[], q: Quantity): Goal[] {
  const x = w.gauge,
    [near, ...rest] = onPhoto(v, q),
    value = (r: Reading): string => shown(r.value_mm, r.U_mm).with_u;
  const out: Goal[] = [
    {
      value: "nearest",
      text: near ? x.nearestRead(near.of?.name, value(near)) : x.nearest,
      of: { nearest: true },
    },
    ...rest.map((r, i): Goal => {
      const name = r.of?.name ?? x.nth(i + 2, q);
      return {
        value: `read ${r.number}`,
        text: x.read(r.of?.name ?? x.nthShort(i + 2), value(r)),
        of: r.of?.location ? { location: r.of.location, name } : { reading: r.number!, name },
      };
    }),
  ];
  const named = new Set([near, ...rest].map((r) => r?.of?.location));
  if (q === "pitch")
    for (const { location: l } of places)
      if (!l.out && l.id !== v.location.id && !named.has(l.id))
        out.push({ value: l.id, text: x.to(l.tag), of: { location: l.id, name: l.tag } });
  return [
    ...out,
    { value: "other", text: x.other[q === "pitch" ? "pitch" : "edge"], of: undefined },
  ];
}

/** The photo's own readings of a quantity in the finding that stands, the nearest first. */
function onPhoto(v: LocationView, q: Quantity): Stood[] {
  const now = nowAt(v);
  return (now?.readings ?? [])
    .filter(
      (r) => r.quantity === q && r.number && r.look === now!.entries[0] && r.how !== "hand gauge",
    )
    .sort((a, b) => a.value_mm - b.value_mm);
}
