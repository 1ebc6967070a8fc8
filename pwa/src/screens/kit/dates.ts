// Times that can hardly be right are asked about before they are entered.
import { Refused } from "../../bridge/client";
import { book } from "../../data/book";
import { w } from "../../words";

let asked = "";

/** Rejects once with what is strange; who saves again means it. */
export async function askDates(of: {
  project: string;
  taken?: string | undefined;
  page?: string;
}): Promise<void> {
  const { taken, ...rest } = of;
  const odd = await book.call("dates", {
    ...rest,
    ...(taken && { taken }),
    clock_ms: Date.now(),
  });
  const text = odd.join("; ");
  if (text && text !== asked) {
    asked = text;
    throw new Refused({ code: "dates", text, do: w.datesAsked });
  }
  asked = "";
}
