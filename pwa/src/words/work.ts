// Words about what is to be done, about cards, the inspector and what is handed out.
import type { WorkKind } from "../bridge/types";
import { plural as n } from "./common";

export const work = {
  workScreen: { title: "Work list", count: (k: number) => n(k, "thing waits", "things wait"), none: "Nothing waits", noneNote: "What is out or too close comes here by being saved.", groups: { "drill out": "Drill out", "measure by hand": "Measure by hand", "set a new rivet": "Set a new rivet", decide: "Decide", refer: "Wait for the designer", "inspector asks": "Inspector asks" } satisfies Record<WorkKind, string>, one: { "drill out": "drill out", "measure by hand": "measure by hand", "set a new rivet": "set a new rivet", decide: "decide", refer: "referred", "inspector asks": "inspector asks" } satisfies Record<WorkKind, string> },
  rework: { title: (t: string) => `${t}, drill out`, step: "step", of: (a: number, b: number) => `${a} of ${b}`, stop: "Stop", doneNext: "Done, next", drilled: "It is drilled out", then: "Then the hole decides", same: "same size", upTo: "Up to", hole: "Hole for the same size", larger: (s: string) => `Larger, ${s}: refer to the designer`, nextHold: "With the next size, from this location's own readings", unread: "Not read here", drillUsed: "Drill used", reason: "Why", saved: "Drilled out. Saved on this phone. Snap the hole before it is filled.", snapHole: "Snap the hole", noNext: "There is no next size in the tables: ask the designer.", sources: "Sources", notes: "Notes" },
  decide: { keepNote: "Keep it as it is: then the inspector decides.", title: (t: string) => `${t}: decide`, action: "Action", reason: "Reason", reasonKeep: "A reason is needed to keep it.", answer: "The designer's answer", saved: "Saved on this phone.", suggested: "suggested" },
  attempt: { title: (t: string) => `New rivet at ${t}`, tool: "Tool", toolHint: "squeezer, gun and set, puller", own: "Another size than before", set: "It is set", saved: "New rivet saved. Snap it." },

  cards: { title: "Scale card", facts: "printed and measured", none: "No card measured yet", steps: ["Print the page at 100 %, with no fitting to the page, on matte card stock.", "Measure both check lines from end mark to end mark, and the thickness of card and backing.", "Cut the card out, keep it flat, glue it on a thin plate if you like."], print: "Print the card page", paper: "Paper", a4: "A4", letter: "Letter", sheet: "Number of the sheet", sheetHint: "write it on the card", across: "Line across", along: "Line along", u: "U of the lines, at k = 2", with: "Measured with", calipers: "calipers", rule: "steel rule", thickness: "Thickness, with backing", thicknessU: "U of the thickness", new: "Measure a printed sheet", newShort: "Printed sheet", use: "Use this one", inUse: "in use", need: "Give all five figures.", saved: (s: string) => `Sheet ${s} is measured and in use. Older readings stay as they were.`, scale: "scale", measured: (d: string) => `measured ${d}`, reach: "" },

  inspect: {
    title: "For your decision", waiting: "waiting", none: "Nothing waits for a decision", noneNote: "What the builder measures and settles comes here.", lookFirst: "Look at the part itself before you confirm.",
    confirm: "Confirm", reject: "Reject", again: "Measure again", rejectTitle: (t: string) => `Reject ${t}`, againTitle: (t: string) => `Measure ${t} again`, reason: "Reason, for the builder", needReason: "Give a reason.",
    saved: (t: string, d: string) => `${t} ${d}. Saved on this device.`, undo: "Change it", savedMany: (k: number) => `${n(k, "decision", "decisions")} saved on this device.`, of: (a: number, b: number) => `${a} of ${b}`, prev: "Previous", notWaiting: "does not wait", was: (d: string, who: string) => `Decided: ${d}, by ${who}. Another decision takes its place.`,
    who: "Who decides", whoGo: "Say who decides", whoFacts: "as it stands in the record", whoNote: "Asked once. Name and number stand beside each decision, as typed.", name: "Name of the inspector", number: "Authorisation number", earlier: "Typed before", needName: "Give the inspector's name.", change: "Change", use: "Go on",
    paper: "on paper", paperTitle: "From paper", paperFacts: "what an inspector wrote", paperNote: "Enter what an inspector wrote on the printed form. One photo of the page serves for all decisions on it and for the sign-off.", paperPhoto: "Photo of the page", paperSnap: "Photograph the page", paperFile: "Choose a photo", paperAnother: "Another photo", paperDate: "Date on the page", paperNo: "Page number", needPaper: "Add the photo of the page.", printForm: "Print the inspector's form", pageOf: (d: string, no: string) => ["page", no, d && `of ${d}`].filter(Boolean).join(" "), enter: "Enter from paper",
    list: "What waits", listFacts: (k: number) => n(k, "finding", "findings"), tickAll: "Tick all within", tickNone: "Untick all", tickNote: "What is within can be ticked and confirmed together, each as a decision of its own. What is out or too close is decided one at a time.", tick: (t: string) => `Tick ${t}`, confirmTicked: (k: number) => `Confirm ${k}`, tickFirst: "Tick what you confirm.", oneByOne: "One by one", sure: (k: number) => `Confirm ${n(k, "finding", "findings")}`, sureNote: (who: string) => `Each becomes a decision of its own, by ${who}.`,
    parts: "Sign-off", waits: (k: number) => `${k} waiting`, confirmed: (k: number) => `${k} confirmed`, story: "What was done", builders: "This is the builder's", buildersDo: "An inspector's device reads everything, decides, signs and writes notes.", toDecide: "To what waits", looked: (k: number) => `${n(k, "question", "questions")} looked at, no fault seen`,
  },
  sign: {
    title: "Sign-off", covers: (k: number) => `Covers ${n(k, "entry", "entries")}`, coversNote: "Exactly these. A later entry shows the sign-off as outdated.", list: "The entries", sign: "Sign off", remark: "Remark", saved: "Signed off. Saved on this device.", current: "covers all that there is", outdated: (k: number, d: string) => `Sign-off outdated: ${n(k, "entry", "entries")} since ${d}`, missing: (k: number) => `${n(k, "covered entry is", "covered entries are")} not here`, altered: "The covered entries are not the ones signed.", earlier: "Earlier sign-offs", nothing: "There is nothing to sign yet.", signedBy: (who: string, d: string) => `Signed off by ${who}, ${d}`, outdatedShort: "sign-off outdated",
    openTitle: "Still open", waits: (t: string) => `${t}: no decision yet`, rejected: (t: string) => `${t}: rejected, or to be measured again`, work: (t: string) => `${t}: on the work list`, unmeasured: (t: string) => `${t}: not measured`, isOut: (t: string) => `${t}: out, and kept`, sure: "Signing does not settle these.",
  },

  exports: {
    title: "Report and exports", facts: "to print, send or check", what: "Of what", whole: "Whole project", some: "Chosen parts", choose: "Choose a part first.", paper: "Paper", files: "Files", get: "Make", report: "Make the report",
    kinds: [
      ["report.pdf", "Report", "PDF to print or send, with the photos of what is out or open"],
      ["form.pdf", "Inspector's form", "PDF to fill in by hand"],
      ["readings.csv", "Table of readings", "CSV, a row for each reading, for a spreadsheet"],
      ["record.json", "Record", "JSON for other programs, with its schema published"],
      ["bundle.zip", "Bundle", "all of it with photos and entries; anybody can check that nothing was changed"],
    ] as [string, string, string][],
    making: (what: string) => `Making: ${what}.`, ready: (name: string, size: string) => `${name}, ${size}`, again: "Save or send it again",
    there: "Made by the laptop.", here: "Made on this phone.", hereWithout: (k: number, p: number) => `Made on this phone. ${n(k, "photo is", "photos are")} only on the laptop${p > 0 ? `; small copies stand in the pictures for ${p}` : ""}.`,
    note: "Photos leave the house without location data; the original's hash stays.",
  },
};
