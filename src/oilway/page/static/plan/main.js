// The setting plan: turned over step by step, with boxes to tick.

import { Plan } from "./plan.js";

window.oilway = new Plan();
window.oilway.open();
