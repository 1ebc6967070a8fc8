// All that the screens say, in one place. A translation is another file of the same shape.
import { common } from "./common";
import { parts } from "./parts";
import { photo } from "./photo";
import { place } from "./place";
import { work } from "./work";

export const w = { ...common, ...parts, ...photo, ...place, ...work };
