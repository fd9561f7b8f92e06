// The page: the app, fed by a server, by the tables inside a lesson's own file, or by those a class is sent once.

import { App } from "./app.js";
import { Follower } from "./follow.js";
import { ServerSource } from "./source.js";
import { TableSource } from "./table_source.js";

const inside = document.getElementById("lesson-data");
const student = document.querySelector("meta[name=oilway-class]");

async function source() {
  if (inside) return new TableSource(JSON.parse(inside.textContent));
  return student ? new TableSource(await (await fetch("/class/data")).json()) : new ServerSource();
}

window.oilway = new App(await source());
await window.oilway.open();
if (student) window.oilway.follower = new Follower(window.oilway, document.getElementById("switches"));
