// A class that follows: the instructor's page tells what it shows, and the students' pages show the same, until
// somebody goes on alone.

import { el } from "./dom.js";

const PAUSE = 150; // ms between two tellings

/** On the instructor's page: tells the room what is shown. */
export class Teller {
  constructor(app) {
    this.app = app;
    this.last = "";
  }

  /** Called with every painting; what has not changed is not told again. */
  tell() {
    this.waiting ??= setTimeout(() => this._tell(), PAUSE);
  }

  _tell() {
    this.waiting = null;
    const { app } = this;
    const { session, steps } = app;
    if (!session.frame || app.display.frozen) return;
    const inSteps = app.view === "steps";
    const shown = {
      variant: session.scene.variant ?? null,
      picture: app.picture,
      set: session.set,
      frame: { ...session.frame, values: session.scene.channels.map((_, i) => session.frame.values[i]) },
      problem: session.problem,
      view: inSteps ? "steps" : "picture",
      stop: inSteps ? steps.at : null,
      revealed: steps.revealed,
      quiet: app.display.quiet,
      title: inSteps ? steps.stop?.title : session.scene.title,
      question: inSteps ? steps.stop?.question : "",
    };
    const said = JSON.stringify(shown);
    if (said === this.last) return;
    this.last = said;
    app.source.shown(shown).catch(() => {});
  }

  /** What the desk asks for. */
  act(what) {
    const { app } = this;
    if (what === "numbers" || what === "freeze") app.display.toggle(what === "numbers" ? "quiet" : "frozen");
    else {
      if (app.view !== "steps") app.go("steps");
      else if (what === "next") app.steps.revealed && app.steps.next();
      else if (what === "back") app.steps.back();
      else if (what === "reveal") app.steps.reveal();
    }
  }
}

/** On a student's page: follows, or not. */
export class Follower {
  constructor(app, host) {
    this.app = app;
    this.follows = true;
    this.button = el("button", { type: "button", id: "follow", onclick: () => this._toggle() });
    host.prepend(this.button);
    this._said();
    const events = new EventSource("/class/events");
    events.addEventListener("at", (event) => {
      this.at = JSON.parse(event.data);
      this._go();
    });
    events.onerror = () => app.say("The class has no line to the instructor's computer just now.");
    events.onopen = () => app.say("");
    for (const what of ["input", "change"]) {
      document.getElementById("sliders").addEventListener(what, () => this.follows && this._toggle());
    }
  }

  _toggle() {
    this.follows = !this.follows;
    this._said();
    this._go();
  }

  _said() {
    this.button.textContent = this.follows ? "Following the class" : "On my own";
    this.button.setAttribute("aria-pressed", this.follows);
  }

  async _go() {
    const { app, at } = this;
    if (!this.follows || !at?.frame) return;
    const { session, steps } = app;
    if (at.variant) await session.become(at.variant);
    if (this.at !== at) return;
    if (app.picture !== at.picture) app.choose(at.picture);
    app.view !== at.view && app.put(at.view);
    if (at.stop !== null) steps.stand(at.stop, at.revealed);
    if (app.display.quiet !== at.quiet) app.display.toggle("quiet");
    session.set = { ...at.set };
    session.tell("set");
    // The instructor's channels go on behind those that a table holds.
    session.got(at.problem ? { problem: at.problem } : at.frame);
  }
}
