// The page of `oilway open`: the app, fed by the server.

import { App } from "./app.js";
import { ServerSource } from "./source.js";

window.oilway = new App(new ServerSource());
window.oilway.open();
