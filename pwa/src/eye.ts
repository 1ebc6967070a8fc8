// The measuring side: one worker for photos and the live view. It may die of a photo; the record
// has a worker of its own.
import { Bridge } from "./bridge/client";

export const eye = new Bridge();
