// All that the screens say, in one place. A translation is another file of the same shape.
import { common } from "./common";
import { record } from "./record";
import { work } from "./work";

export const w = { ...common, ...record, ...work };
