// The app's start: the page, the route, the disk, the sync, the worker that makes it work offline.
import { render } from "preact";
import { warmUp } from "./bridge/client";
import { startRouter } from "./router";
import { App } from "./screens/app";
import { readAllGroups } from "./screens/routes";
import "uplot/dist/uPlot.min.css"; // here: nothing would load the style of a part
import "./style/app.css";
import { startUpdates } from "./sw/updates";
import { startSync } from "./sync/sync";

/** Runs it when the first screen stands: what is large must not hold it up. */
function whenCalm(f: () => void): void {
  const idle = (): void => {
    if (typeof requestIdleCallback === "function") requestIdleCallback(f, { timeout: 3000 });
    else setTimeout(f, 500); // Safari
  };
  if (document.readyState === "complete") idle();
  else addEventListener("load", idle, { once: true });
}

startRouter();
const root = document.getElementById("app");
if (!root) throw new Error("the page has no place for the app");
render(<App />, root);
whenCalm(() => {
  startSync();
  startUpdates();
  warmUp();
  // One that can't be read now is read when its screen is opened, which says what is wrong.
  void readAllGroups().catch(() => undefined);
});
