// Answers typed in from paper.

import { Enter } from "./enter.js";

window.oilway = new Enter();
window.oilway.open();
