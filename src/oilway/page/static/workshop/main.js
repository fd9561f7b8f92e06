// The workshop: a machine or a valve put together in forms.

import { Workshop } from "./workshop.js";

window.oilway = new Workshop();
window.oilway.open();
