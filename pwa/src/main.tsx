// The app's start: the page, the route, the disk, the sync, the worker that makes it work offline.
import { render } from "preact";
import { warmUp } from "./bridge/client";
import { startRouter } from "./router";
import { App } from "./screens/app";
import "./style/app.css";
import { startUpdates } from "./sw/updates";
import { startSync } from "./sync/sync";

startRouter();
warmUp();
const root = document.getElementById("app");
if (!root) throw new Error("the page has no place for the app");
render(<App />, root);
startSync();
startUpdates();
