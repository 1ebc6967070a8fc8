// What an entry says in one line.
import type { Came, Entry, PartData, Summary } from "../../bridge/types";
import { w } from "../../words";
import { verdictShape } from "../kit/shapes";

type CameTo = Pick<Came, "whole" | "not_read">;

/** What one entry came to by itself, as lines show it. */
export const cameTo = (s: Summary | undefined): CameTo | undefined =>
  s && { whole: s.whole, not_read: s.missing.length };

const stands = (c: CameTo): string => c.whole && w.headline(c.whole, c.not_read);

/** What of a part was changed, and from what. */
function changed(t: string, d: PartData): string {
  const from = (was: string | undefined, to: string): string => (was ? `${was} → ${to}` : to);
  const said = [
    d.name && d.was && `${w.part.name.toLowerCase()} ${from(d.was.name, d.name)}`,
    d.drawing && `${w.part.drawing.toLowerCase()} ${from(d.was?.drawing, d.drawing)}`,
    d.was && d.spec && w.part.fastener.toLowerCase(),
    d.was && d.layers && w.part.layers.toLowerCase(),
  ].filter(Boolean);
  return [t, said.join(", ")].filter(Boolean).join(": ");
}

/** What an entry says in one line; came is what a finding or a hand reading came to. */
export function entryLine(
  e: Entry,
  came: CameTo | undefined,
): { shape: string | undefined; text: string } {
  const t = w.entry[e.kind] ?? w.unknownEntry;
  switch (e.kind) {
    case "finding":
      return {
        shape: came?.whole ? verdictShape[came.whole] : "set",
        text: `${w.kind[e.data.spec.kind]}: ${(came && stands(came)) || w.notJudged}`,
      };
    case "gauge":
      return {
        shape: came?.whole && verdictShape[came.whole],
        text: [`${t}, ${e.data.instrument}`, came && stands(came)].filter(Boolean).join(": "),
      };
    case "disposition":
      return {
        shape: undefined,
        text: `${w.disposition[e.data.action]}${e.data.reason ? `: ${e.data.reason}` : ""}`,
      };
    case "decision":
      return {
        shape: undefined,
        text: `${e.data.name}${e.data.number ? ` (${e.data.number})` : ""}: ${w.disposition[e.data.answer]}${e.data.reason ? `, ${e.data.reason}` : ""}${e.data.on_paper ? `, ${w.inspect.paper.toLowerCase()}` : ""}`,
      };
    case "drilled-out":
      return { shape: "drilled", text: `${t}${e.data.reason ? `: ${e.data.reason}` : ""}` };
    case "stage":
      return {
        shape: undefined,
        text: [w.stage[e.data.stage], e.data.step && w.prep[e.data.step]]
          .filter(Boolean)
          .join(", "),
      };
    case "filed":
      return {
        shape: undefined,
        text: `${t}: ${[e.data.edge, e.data.layer].filter(Boolean).join(", ")}`,
      };
    case "coupon":
      return { shape: undefined, text: `${t}: ${e.data.lot}` };
    case "note":
      return { shape: undefined, text: e.data.text || w.note.photos(e.data.photos?.length ?? 0) };
    case "attempt":
      return { shape: "set", text: `${t}${e.data.tool ? `, ${e.data.tool}` : ""}` };
    case "sign-off":
      return { shape: undefined, text: `${t}, ${e.data.name}` };
    case "shape":
      return {
        shape: e.data.result.verdict && verdictShape[e.data.result.verdict],
        text: `${e.data.name}, ${e.data.state}`,
      };
    case "study":
      return {
        shape: undefined,
        text: `${t}: ${`${w.kind[e.data.kind]} ${e.data.size}`.trim()}, ${e.data.result.why}`,
      };
    case "tool":
      return { shape: undefined, text: `${t}: ${e.data.name}` };
    case "part":
      return { shape: undefined, text: changed(t, e.data) };
    case "location":
      return { shape: "marked", text: e.data.tag ? `${t}: ${e.data.tag}` : t };
    default:
      return { shape: undefined, text: t };
  }
}
