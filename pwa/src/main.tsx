// The app's start: the page, the route, the disk, the sync, the worker that makes it work offline.
import { render } from "preact";
import { warmUp } from "./bridge/client";
import { leaveSampleOnceJoined } from "./data/db";
import { painted } from "./painted";
import { startRouter } from "./router";
import { App } from "./screens/app";
import { readAllGroups } from "./screens/routes";
import "uplot/dist/uPlot.min.css"; // here: nothing would load the style of a part
import "./style/app.css";
import { startUpdates } from "./sw/updates";
import { JOINED } from "./sync/join";
import { startSync } from "./sync/sync";

/** What goes on behind the screens. */
function startRest(): void {
  startUpdates();
  startSync();
  warmUp();
  // One that can't be read now is read when its screen is opened, which says what is wrong.
  void readAllGroups().catch(() => undefined);
}

/** When the first screen stands, and the browser has nothing better to do. */
async function whenCalm(): Promise<void> {
  await painted();
  if (typeof requestIdleCallback === "function") requestIdleCallback(startRest, { timeout: 3000 });
  else setTimeout(startRest, 500); // Safari
}

leaveSampleOnceJoined(JOINED);
startRouter();
const root = document.getElementById("app");
if (!root) throw new Error("the page has no place for the app");
render(<App standing={() => void whenCalm()} />, root);
