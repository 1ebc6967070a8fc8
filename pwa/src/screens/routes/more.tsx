// Screens that are opened less often: work, history, the inspector, settings.
import type { JSX } from "preact";
import { InspectScreen } from "../inspector/inspect";
import { InspectList } from "../inspector/inspectlist";
import { SignScreen } from "../inspector/sign";
import { WhoScreen } from "../inspector/who";
import { AttemptForm } from "../place/attemptform";
import { DecideForm } from "../place/decideform";
import { GaugeForm } from "../place/gaugeform";
import { LocationScreen } from "../place/history";
import { LocationEdit } from "../place/locationform";
import { NoteForm } from "../place/noteform";
import { PartHistory } from "../place/parthistory";
import { PartNotes } from "../place/partnotes";
import { ReworkScreen } from "../place/rework";
import { WorkScreen } from "../work/work";
import { DevicesScreen } from "../workshop/devices";
import { ExportsScreen } from "../workshop/exports";
import { SettingsScreen } from "../workshop/settings";
import { UnsentScreen } from "../workshop/unsent";

export function more([a = "", id = "", what = ""]: string[]): JSX.Element | undefined {
  switch (a) {
    case "work":
      return <WorkScreen />;
    case "unsent":
      return <UnsentScreen />;
    case "settings":
      return <SettingsScreen />;
    case "devices":
      return <DevicesScreen />;
    case "exports":
      return <ExportsScreen />;
    case "inspect":
      return id === "who" ? <WhoScreen /> : id === "list" ? <InspectList /> : <InspectScreen />;
    case "part":
      switch (what) {
        case "history":
          return <PartHistory id={id} />;
        case "notes":
          return <PartNotes id={id} />;
        case "sign":
          return <SignScreen id={id} />;
      }
      return undefined;
    case "location":
      if (!id) return undefined;
      switch (what) {
        case "":
          return <LocationScreen id={id} />;
        case "note":
          return <NoteForm id={id} />;
        case "gauge":
          return <GaugeForm id={id} />;
        case "decide":
          return <DecideForm id={id} />;
        case "attempt":
          return <AttemptForm id={id} />;
        case "rework":
          return <ReworkScreen id={id} />;
        case "edit":
          return <LocationEdit id={id} />;
      }
  }
  return undefined;
}
