// Pages at 1:1, made on this phone by the program for papers.
import { Bridge } from "../bridge/client";
import type { Ask } from "../bridge/types";

/** Lays out, bends and plans drilling; none of it needs the record. */
export const helpers = new Bridge({ module: __PAPERS__ });

/** Makes a template's PDF. Rejects with Refused where what was asked can't be made. */
export async function makeTemplate(ask: Ask<"template">): Promise<Blob> {
  const papers = new Bridge({ module: __PAPERS__ });
  try {
    return (await papers.callFile("template", ask)).file;
  } finally {
    papers.stop();
  }
}
