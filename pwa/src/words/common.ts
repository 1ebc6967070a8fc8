// Words that many screens share, and those about the app itself.
import type { Kind, Quantity, Stage, Verdict } from "../bridge/types";

const n = (k: number, one: string, many: string): string => `${k} ${k === 1 ? one : many}`;
export const plural = n;

export const common = {
  back: "Back", actions: "Actions", opening: "Opening the record.", cancel: "Cancel", done: "Done", save: "Save", undo: "Undo", next: "Next", edit: "Change",
  unsent: "unsent",
  verdict: { within: "within", out: "out", "too close": "too close" } satisfies Record<Verdict, string>,
  stage: { marked: "marked", "pilot hole": "pilot hole", "final hole": "final hole", "set rivet": "set rivet", "drilled out": "drilled out" } satisfies Record<Stage, string>,
  notJudged: "not judged",
  kind: { "shop-head": "shop head", "universal-head": "universal head", "pulled-head": "pulled head", "flush-head": "flush head", hole: "hole" } satisfies Record<Kind, string>,
  quantity: {
    head_d_mean: "mean head diameter", head_d_max: "greatest head diameter", head_d_min: "least head diameter",
    hole_d_mean: "mean hole diameter", hole_d_max: "greatest hole diameter", hole_d_min: "least hole diameter",
    out_of_round: "out of round", mandrel_off: "mandrel off centre", edge_distance: "edge distance", pitch: "pitch", head_height: "head height",
  } satisfies Record<Quantity, string>,
  quantityShort: {
    head_d_mean: "head", head_d_max: "head, greatest", head_d_min: "head, least", hole_d_mean: "hole", hole_d_max: "hole, greatest", hole_d_min: "hole, least",
    out_of_round: "round", mandrel_off: "mandrel", edge_distance: "edge", pitch: "pitch", head_height: "height",
  } satisfies Record<Quantity, string>,
  pitchTo: (tag: string) => `pitch to ${tag}`,
  min: "min", max: "max",
  how: { photo: "by photo", "photo with hand-placed mark": "by hand on the photo", "hand gauge": "by hand gauge" },
  crashed: "measuring stopped",
  crashedDo: "The photo is safe; try again.",
  fault: "something is wrong in the app",
  faultSafe: "What was saved is safe on this phone. Go back and try again.",
  photoGone: "The picture is on the laptop and not in reach.",
  cautionPhoto: "A photo can't show the hidden side, a hair crack or a loose rivet. The drawing and the inspector decide.",
  nothingHere: "There is nothing at this address", nothingHereDo: "It may have come from another phone and not have been sent yet.", toParts: "To the parts",

  parts: "Parts", workList: "Work", snap: "Snap", addPhotos: "Add photos", inspectorTab: "Decide",
  newVersion: "New version ready. Load it when you have finished here.", loadNew: "Load it",
  otherTab: "Close other tabs of Bucktail: an older version holds the phone's disk.",

  start: {
    title: "Bucktail", facts: "Nothing on the sheet yet", head: "Nothing on the sheet yet", sub: "Five steps to the first reading.", headReady: "Ready for the first photo", subReady: "Card beside the rivets, phone flat above, 10 to 15 cm away.", factsReady: "Setting up",
    yourPart: "your part", pair: "Pair with the laptop", pairNote: "scan the code that the laptop shows", pairDone: (name: string) => `done, as ${name}`,
    project: "Name the project", projectNote: "the aircraft you build", card: "Print and measure a card", cardNote: "one sheet, a rule or calipers", cardDone: "done",
    part: "Make a part", partNote: "name, drawing, rivet, limits", snap: "Snap", snapNote: "card beside the rivets, phone above",
    sample: "Try the sample part", sampleHead: "No laptop at hand?", sampleNote: "The sample part is a corner gusset of a baggage-hatch frame with a photo to measure. It stays on this phone and is sent nowhere.",
    stepDone: "done",
  },
  sample: { bar: "Sample", leave: "Leave the sample", note: "This is the sample part. Nothing of it is sent.", photo: "Measure the sample photo" },

  pair: {
    title: "Pair with the laptop", facts: "once for each phone",
    steps: ["Join the workshop's Wi-Fi with this phone.", "Scan the code on the laptop's screen with the phone's camera. The first time, the phone asks to trust the laptop: compare the fingerprint.", "Add the page to the home screen and open it there."],
    typed: "Can't scan? Type the code from the laptop's screen.", code: "Code", codeHint: "as shown under the square", name: "Name of this phone", nameUsual: "my phone", go: "Pair",
    working: "Pairing.", noReach: "The laptop is not in reach. Join its Wi-Fi and open the address that it shows.", offline: "Works offline from then on.", needCode: "Type the code first.",
    done: (name: string) => `Paired as ${name}.`,
  },

  project: { title: "Project", newTitle: "New project", name: "Name", nameHint: "for example Tarn 2", aircraft: "Aircraft", aircraftHint: "what it is: two-seat amphibian", mark: "Serial number or registration", builder: "Builder", builderHint: "stands beside each entry of this phone, unless Settings names another", needName: "A project needs a name.", units: "Units", limits: "Limit set of new parts", paper: "Paper", authority: "Whose rules apply", other: "Other projects", make: "Make the project", saved: "Saved on this phone." },

  settings: {
    title: "Settings", facts: "this phone", display: "Display", theme: "Light", themes: { auto: "as the phone", light: "light", dark: "dark", outdoor: "outdoor" }, hand: "Hand that holds the phone", right: "right", left: "left",
    large: "Large text", units: "Units", mm: "mm", inch: "inch", fractions: "Inches as fractions", record: "Record", by: "Who writes", byHint: "stands beside each entry",
    card: "Scale card", devices: "Devices", laptop: "Laptop", address: (host: string) => `at ${host}`, project: "Project", start: "Setting up", sampleOn: "Open the sample part", version: "App", offline: { unsupported: "works only while the laptop is in reach: open it by https", preparing: "is being put on this phone", ready: "on this phone, works with no network", failed: "could not be put on this phone; it works while the laptop is in reach" },
    faults: "Chains of entries", noFaults: "unbroken on this phone", damaged: (k: number) => `${n(k, "entry", "entries")} on this phone no longer fit their hash and are not used`, storage: "Storage", reports: "Reports and exports", forInspector: "Inspector", needsLaptop: "Needs the laptop in reach.",
  },
  devices: { title: "Devices", facts: "who may read and write", none: "No devices are known.", builder: "builder", inspector: "inspector", owner: "the laptop", seen: (t: string) => `seen ${t}`, off: (t: string) => `taken off ${t}`, this: "this phone", takeOff: "Take off", takeOffSure: "Take it off: it can do nothing from then on", awayTitle: "Laptop not in reach", away: "Devices are kept there.", invite: "Invite", inviteNote: "The code is shown on the laptop's own page.", openLaptop: "Open the laptop's page" },

  unsentScreen: {
    title: "Unsent", facts: (p: number, e: number) => `${n(p, "photo", "photos")}, ${n(e, "entry", "entries")}`, oldest: "oldest", none: "All is sent", noneNote: "The laptop has everything that this phone has.", never: "Not sent yet",
    away: "Laptop not in reach", awayNote: (seen: string | undefined) => `${seen ? `Last seen ${seen}. ` : ""}All is safe on this phone; it sends by itself when the laptop is back.`, working: "Sending", workingNote: (a: number, b: number) => `${a} of ${b}`, waiting: "Waiting to be sent", waitingNote: "It is sent by itself.",
    unpaired: "The laptop does not know this phone", unpairedNote: "Pair it once more. What waits here is kept and then sent.", sample: "The sample is sent nowhere", refusedTitle: "The laptop would not take it", failed: "Sending stopped", tryNow: "Try now", file: "Save to a file", fileSaved: (e: number, p: number) => `Saved to a file: ${n(e, "entry", "entries")}, ${n(p, "photo", "photos")}. Nothing leaves this phone until the laptop has it.`,
    takeIn: "Take a file in", takenIn: (e: number, p: number, a: number, d: number) => `Taken in: ${n(e, "entry", "entries")}, ${n(p, "photo", "photos")}; ${a} were here${d ? `; ${d} are damaged` : ""}.`,
    address: "Laptop has a new address? Save what waits to a file and open it there.", entry: "entry", photo: "photo", waits: "waits", room: "Room on this phone", roomOf: (a: string, b: string) => `${a} of ${b}`, roomUnknown: "The browser does not say how much room there is.", unsentNever: (s: string) => `${s} unsent, never dropped`, left: (k: number) => `Room for about ${k} more photos.`, low: (k: number) => `Room for about ${k} more photos. Send, or drop sent originals.`,
    keeps: "The browser has agreed to keep this app's data.", mayClear: "The browser may clear this app's data when room gets short. Send often, and add the app to the home screen.", askKeep: "Ask it to keep the data", keepUnknown: "The browser does not say whether it keeps this app's data.", drop: (k: number, s: string) => `Drop ${n(k, "sent original", "sent originals")}, ${s}`, dropped: (k: number) => `${n(k, "original", "originals")} dropped. Previews stay, the laptop has the originals.`, list: "What waits", drafts: "Waiting photos", draftsNote: "kept, without a saved reading", noDrafts: "No photo waits",
  },
};
