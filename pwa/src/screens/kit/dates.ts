// Times that can hardly be right are asked about before they are entered.
import { Refused } from "../../bridge/client";
import { book } from "../../data/book";
import { isSample } from "../../data/db";
import { w } from "../../words";
import { sentence } from "./bits";

/** Asks where something is strange; rejects where the answer is no. The sample's photos are old. */
export async function askDates(of: {
  project: string;
  taken?: string | undefined;
  page?: string;
  /** By its hash, and which locations it is said to show. */
  photo?: string;
  locations?: string[];
}): Promise<void> {
  if (isSample()) return;
  const { taken, ...rest } = of;
  const odd = await book.call("dates", {
    ...rest,
    ...(taken && { taken }),
    clock_ms: Date.now(),
  });
  const text = odd.join("; ");
  if (text && !confirm(`${sentence(text)} ${w.datesAsked}`))
    throw new Refused({ code: "dates", text, do: w.datesLook });
}
