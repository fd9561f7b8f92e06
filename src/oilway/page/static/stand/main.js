// The test stand: a readings file filled in, one reading at a time.

import { Stand } from "./stand.js";

window.oilway = new Stand();
window.oilway.open();
