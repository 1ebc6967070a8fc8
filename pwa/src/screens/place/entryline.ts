// What an entry says in one line.
import type { Entry } from "../../bridge/types";
import { w } from "../../words";
import { deciding, worst } from "../finding";
import { verdictShape } from "../kit/shapes";

/** What an entry says in one line. */
export function entryLine(e: Entry): { shape: string | undefined; text: string } {
  const t = w.entry[e.kind] ?? w.unknownEntry;
  switch (e.kind) {
    case "finding": {
      const v = worst([deciding(e.data.result.checks)?.verdict, e.data.answers_verdict]);
      return {
        shape: v ? verdictShape[v] : "set",
        text: `${e.data.spec.kind === "hole" ? w.kind.hole : w.kind[e.data.spec.kind]}: ${v ? w.verdict[v] : w.notJudged}`,
      };
    }
    case "gauge": {
      const v = deciding(e.data.result.checks)?.verdict;
      return {
        shape: v && verdictShape[v],
        text: `${t}, ${e.data.instrument}${v ? `: ${w.verdict[v]}` : ""}`,
      };
    }
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
      return { shape: undefined, text: w.stage[e.data.stage] };
    case "note":
      return { shape: undefined, text: e.data.text || w.note.photos(e.data.photos?.length ?? 0) };
    case "attempt":
      return { shape: "set", text: `${t}${e.data.tool ? `, ${e.data.tool}` : ""}` };
    case "sign-off":
      return { shape: undefined, text: `${t}, ${e.data.name}` };
    case "location":
      return { shape: "marked", text: e.data.tag ? `${t}: ${e.data.tag}` : t };
    default:
      return { shape: undefined, text: t };
  }
}
