// The sealed machine: something is wrong with it, and only readings tell what.

import { SealedMachine } from "./sealed.js";

window.oilway = new SealedMachine();
window.oilway.open();
