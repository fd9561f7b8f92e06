// The page: the app, fed by a server, or by the tables inside a lesson's own file.

import { App } from "./app.js";
import { ServerSource } from "./source.js";
import { TableSource } from "./table_source.js";

const inside = document.getElementById("lesson-data");
window.oilway = new App(inside ? new TableSource(JSON.parse(inside.textContent)) : new ServerSource());
window.oilway.open();
