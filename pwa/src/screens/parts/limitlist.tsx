// What is held against.
import type { Limit } from "../../bridge/types";
import { w } from "../../words";
import { shown } from "../hooks";

export const limitText = (l: Limit): string =>
  `${l.min_mm ? w.min : w.max} ${shown(l.min_mm || l.max_mm || 0).value}`;

/** What makes a laxer limit the same one again. */
export const key = (l: Limit): string =>
  [l.quantity, l.min_mm ?? 0, l.max_mm ?? 0, l.source].join("|");
