// Predict, then reveal: stops with a question, and what stays hidden until the answer is asked for.

import { capital, el, fill } from "./dom.js";

const LETTERS = "ABCDEFGH";
const QUEUED = 4; // presses that wait while a stop is being set
const ALL = ["numbers", "words", "curve", "parts"]; // by a stop; parts: the picture stays as it was

/** Named operating points of a scene; without any, a lever in its three places makes them. */
function pointsOf({ points, handles }) {
  const lever = handles.find(
    ({ word, kind, low, high }) => word.endsWith("lever") && kind === "number" && low < 0 && high > 0,
  );
  if (Object.keys(points).length || !lever) return points;
  const places = { "lever fully over": lever.high, "lever in neutral": 0, "lever the other way": lever.low };
  return Object.fromEntries(Object.entries(places).map(([name, value]) => [name, { [lever.parameter]: value }]));
}

/** Stops made from the named operating points, for a file without a lesson of its own. */
export function stopsFromPoints(scene, say) {
  let before = {};
  return Object.entries(pointsOf(scene)).map(([name, set]) => {
    const at = (point, { parameter, value }) => point[parameter] ?? value;
    const moved = scene.handles.filter((handle) => at(set, handle) !== at(before, handle));
    const given = moved.map((handle) => `${handle.word} ${say(at(set, handle), handle.kind)}`);
    before = set;
    const question = "What opens, which way does the oil go, and what do the gauges read?";
    return { title: capital(name), given: given.join(", "), set, question, hide: ALL, reveal: "" };
  });
}

/** The card with the question, and where the class has got to. */
export class Steps {
  constructor(host, session, display, { changed }) {
    this.host = host;
    this.session = session;
    this.display = display;
    this.changed = changed;
    this.at = 0;
    this.revealed = true;
    this.waiting = []; // what was pressed while a stop is being set
    session.addEventListener("scene", () => this._load());
    display.addEventListener("change", () => this.write());
  }

  _load() {
    const { scene } = this.session;
    const say = (value, kind) => this.display.units.show(value, kind);
    this.stops = scene.lesson?.stops ?? scene.lesson ?? stopsFromPoints(scene, say);
    this.at = Math.min(this.at, Math.max(this.stops.length - 1, 0));
    this.write();
  }

  get stop() {
    return this.stops[this.at];
  }

  /** True while this is hidden: "numbers", "words", "curve", "parts". */
  hides(what) {
    return !this.revealed && (this.stop?.hide ?? ALL).includes(what);
  }

  /** Do it once the stop before has its numbers: what is told or left must have been there to be seen. */
  _inTurn(act) {
    if (!this.busy) return act();
    if (this.waiting.length < QUEUED) this.waiting.push(act);
    return undefined;
  }

  /** Go to a stop and hide its answer; a stop of a lesson may stand on another variant of the machine. */
  go(at) {
    return this._inTurn(async () => {
      this.busy = true;
      try {
        await this._go(at);
      } finally {
        this.busy = false;
        while (!this.busy && this.waiting.length) this.waiting.shift()();
      }
    });
  }

  async _go(at) {
    if (!this.stops.length) return;
    this.at = Math.min(Math.max(at, 0), this.stops.length - 1);
    this.revealed = false;
    this.chosen = null;
    this.write();
    this.changed();
    const here = this.at;
    if (this.stop.variant) await this.session.become(this.stop.variant);
    if (this.at !== here) return; // the class has gone on meanwhile
    await this.session.put(this.session.scene.lesson ? this.stop.set : this.session.known(this.stop.set));
  }

  /** Take one of the choices; which is right is told with the answer. */
  choose(choice) {
    this.chosen = choice;
    this.write();
  }

  /** Stand at a stop without setting anything, its answer told or not: where the class is. */
  stand(at, revealed) {
    if (this.at === at && this.revealed === revealed) return;
    if (this.at !== at) this.chosen = null;
    this.at = at;
    this.revealed = revealed;
    this.write();
    this.changed();
  }

  reveal() {
    this._inTurn(() => {
      this.revealed = true;
      this.write();
      this.changed();
    });
  }

  next() {
    this._inTurn(() => {
      if (!this.revealed) this.reveal();
      else if (this.at < this.stops.length - 1) this.go(this.at + 1);
    });
  }

  back() {
    this._inTurn(() => this.at > 0 && this.go(this.at - 1));
  }

  write() {
    if (!this.stops) return;
    if (!this.stop) {
      fill(this.host, el("p", {}, "This file names no operating points, so there are no steps yet."));
      return;
    }
    const { title, given, question, choices = [], reveal, caution } = this.stop;
    const last = this.at === this.stops.length - 1;
    const back = el("button", { type: "button", onclick: () => this.back(), disabled: this.at === 0 }, "Back");
    const answer = el(
      "button",
      { type: "button", class: "main", onclick: () => this.next(), disabled: this.revealed && last },
      this.revealed ? (last ? "That was the last" : "Next question") : "Show the answer",
    );
    const list = choices.map((choice, i) => el("li", {}, this._choice(choice, LETTERS[i])));
    const asked = document.activeElement?.closest?.("#steps-card button");
    const name = asked?.dataset.name;
    back.dataset.name = "back";
    answer.dataset.name = "answer";
    fill(
      this.host,
      el("p", { class: "count" }, `Question ${this.at + 1} of ${this.stops.length}`),
      el("h2", {}, title),
      given ? el("p", { class: "given" }, `Set: ${given}`) : null,
      el("p", { class: "question" }, question),
      list.length ? el("ol", { class: "choices" }, ...list) : null,
      el(
        "div",
        { class: "answer", "aria-live": "polite" },
        this.revealed ? reveal || "Read it off the picture." : null,
      ),
      caution ? el("p", { class: "caution" }, caution) : null,
      el("div", { class: "buttons" }, back, answer),
    );
    if (name) this.host.querySelector(`[data-name="${name}"]`)?.focus();
  }

  /** A choice as a button: pressed when taken; with the answer told, marked in words as right or not. */
  _choice(choice, letter) {
    const right = this.revealed && choice === this.stop.answer;
    const wrong = this.revealed && choice === this.chosen && !right;
    const taken = choice === this.chosen;
    return el(
      "button",
      {
        type: "button",
        class: right ? "right" : wrong ? "wrong" : "",
        "data-name": letter,
        "aria-pressed": taken,
        disabled: this.revealed,
        onclick: () => this.choose(choice),
      },
      el("b", {}, letter),
      ` ${choice}`,
      right ? el("i", {}, " - right") : wrong ? el("i", {}, " - not so") : null,
    );
  }
}
