// The page of the sealed machine: ask, read it off the picture, name the cause.

import { capital, el, fill } from "../dom.js";
import { PictureView } from "../picture.js";
import { Scale } from "../scale.js";
import { Units } from "../units.js";
import { problemText } from "../words.js";
import { SealedSource } from "./source.js";

const $ = (id) => document.getElementById(id);
const SAID = ["text", "stroke", "fill", "hatch"]; // what one reading can say; which way oil flows, none does
const minutes = (number) => `${Math.round(number)} min`;
const count = (number, what) => `${number} ${what}${number === 1 ? "" : "s"}`;

export class SealedMachine {
  constructor() {
    this.source = new SealedSource();
    this.view = new PictureView($("picture"), { touched: (part) => this._of(part) });
    this.setup = "";
    this.busy = false;
    $("units").addEventListener("click", () => this._units());
  }

  async open() {
    await this._try(async () => {
      const told = await this.source.bench();
      this.bench = told;
      this.units = new Units(told.units);
      this.scale = new Scale(told.scale);
      fill($("title"), `Sealed machine: ${told.title}`);
      this._take(told);
    });
  }

  _take({ offers, state }) {
    if (offers) {
      this.offers = offers;
      if (!offers["set-ups"].some(({ name }) => name === this.setup))
        this.setup = offers["set-ups"].find((each) => each["as in the file"]).name;
    }
    this.state = state;
    this._draw();
  }

  /** Do something with the server; what it says against it stands in the banner. */
  async _try(does) {
    if (this.busy) return;
    this.busy = true;
    document.body.setAttribute("aria-busy", "true");
    this._say("");
    try {
      await does();
    } catch (error) {
      this._say(error.problem ? problemText(error.problem) : String(error));
    }
    this.busy = false;
    document.body.removeAttribute("aria-busy");
  }

  _say(text) {
    $("banner").hidden = !text;
    fill($("banner"), text);
  }

  async _start(seed) {
    await this._try(async () => {
      fill($("used"), "Its faults are being solved ...");
      this.setup = "";
      this._take(await this.source.start(seed));
      $("setup").focus();
    });
  }

  async _ask(text) {
    await this._try(async () => {
      const refused = this.state.refused.length;
      this._take(await this.source.ask(text));
      const last = this.state.refused.at(-1);
      if (this.state.refused.length > refused) this._say(`${capital(last.what)}: ${last.why}`);
    });
  }

  async _name(cause) {
    await this._try(async () => {
      this._take(await this.source.name(cause));
      if (this.state.found) $("verdict").focus();
      else this._say(`Not it: ${cause}`);
    });
  }

  _units() {
    if (!this.units) return;
    this.units.chosen = this.units.chosen === "shop" ? "metric" : "shop";
    this._draw();
  }

  /** Ask for the reading of a gauge that is touched. */
  _of(part) {
    const known = this.offers?.readings.some(({ name }) => name === part);
    if (known && !this._taken(part)) this._ask(`${part} @ ${this.setup}`);
  }

  /** The reading of this name as the machine is run now, where it has been taken. */
  _taken(name) {
    return this.state.readings.find((each) => each.reading === name && each["set-up"] === this.setup);
  }

  // -- what is shown ---------------------------------------------------------------------------------------
  _draw() {
    const { state, units } = this;
    const focus = document.activeElement?.id;
    fill($("units"), units.chosen === "shop" ? "bar, L/min" : "psi, gpm");
    fill($("used"), state ? `${count(state.readings.length, "reading")}, ${minutes(state.minutes)}` : "");
    this._drawStart();
    for (const id of ["verdict", "ask", "taken", "name"]) $(id).hidden = !state;
    $("verdict").hidden = !state?.found;
    if (state) {
      this._drawVerdict();
      this._drawAsk();
      this._drawTaken();
      this._drawName();
    }
    this._paint();
    // What had the focus has been made anew; a reading that is taken hands on to the next one.
    const same = focus && $(focus);
    if (same && !same.disabled) same.focus();
    else if (focus?.startsWith("reading-")) (document.querySelector("#ask li button:enabled") ?? $("setup")).focus();
  }

  /** The picture: levers and cylinders as the machine is run, numbers only where something has been read so. */
  _paint() {
    const { picture } = this.bench;
    const now = (this.state?.readings ?? []).filter((each) => each["set-up"] === this.setup && each.channel);
    const values = new Map(now.map(({ channel, value }) => [channel, value]));
    const places = this.offers?.["set-ups"].find(({ name }) => name === this.setup).places ?? {};
    const shown = picture.bindings.filter(
      ({ what, channel }) => (SAID.includes(what) && values.has(channel)) || (what === "move" && channel in places),
    );
    this.view.show({ ...picture, bindings: shown });
    const all = new Map([...Object.entries(places), ...values]);
    this.view.paint(all, {}, { scale: this.scale, units: this.units, hatched: false, quiet: false });
    for (const { id } of picture.bindings.filter(({ what }) => what === "flow"))
      document.getElementById(id)?.setAttribute("visibility", "hidden");
    fill($("run"), this.state ? `As it is run: ${this.setup}` : "Nothing has been read yet.");
  }

  _drawStart() {
    const seed = el("input", { type: "text", id: "seed", inputmode: "numeric", autocomplete: "off", size: 8 });
    const form = el(
      "form",
      {
        onsubmit: (event) => {
          event.preventDefault();
          this._start(seed.value);
        },
      },
      el("label", { for: "seed" }, "Seed "),
      seed,
      el("button", { class: this.state ? null : "main" }, "Seal a machine"),
      el("p", { class: "about" }, "The same seed hides the same fault. Left empty, one is drawn."),
    );
    if (!this.state) fill($("start"), el("h2", {}, "Something will be wrong with it"), form);
    else fill($("start"), el("details", {}, el("summary", {}, `Seed ${this.state.seed}; another machine`), form));
  }

  _drawVerdict() {
    const { found, readings, wrong, minutes: used } = this.state;
    if (!found) return;
    fill(
      $("verdict"),
      el("h2", {}, `Found: ${found.cause}`),
      el("p", { class: "score" }, `Score ${found.score}`),
      el("p", {}, `It was: ${found.was}. ${capital(found.why)}.`),
      el(
        "p",
        {},
        `${count(readings.length, "reading")}, ${minutes(used)}, ${count(wrong.length, "wrong name")}; ` +
          `the tool's own way takes ${minutes(found["par minutes"])}.`,
      ),
    );
  }

  _drawAsk() {
    const setups = this.offers["set-ups"];
    const now = setups.find(({ name }) => name === this.setup);
    const been = this.state.readings.some((each) => each["set-up"] === this.setup);
    const choose = el(
      "select",
      {
        id: "setup",
        onchange: (event) => {
          this.setup = event.target.value;
          this._say("");
          this._draw();
        },
      },
      ...setups.map((each) =>
        el("option", { value: each.name, selected: each === now }, `${each.name} (${minutes(each.minutes)})`),
      ),
    );
    const readings = this.offers.readings.map((offer, i) => ({ ...offer, id: `reading-${i}` }));
    const words = el("input", { type: "text", id: "words", autocomplete: "off" });
    fill(
      $("ask"),
      el("h2", {}, "Ask for a reading"),
      el("label", { for: "setup" }, "How the machine is run"),
      choose,
      el("p", { class: "about" }, been ? "It is run so already." : `It takes ${minutes(now.minutes)} to get there.`),
      el(
        "details",
        {},
        el("summary", {}, "With care"),
        el("ul", {}, ...now.cautions.map((text) => el("li", {}, text))),
      ),
      el(
        "ul",
        { class: "readings" },
        ...readings.filter(({ name }) => now.readings.includes(name)).map((each) => this._offer(each)),
      ),
      el(
        "form",
        {
          onsubmit: (event) => {
            event.preventDefault();
            if (words.value.trim()) this._ask(words.value);
          },
        },
        el("label", { for: "words" }, "Something else, in words"),
        words,
        el("button", {}, "Ask"),
      ),
    );
  }

  _offer({ name, id, minutes: cost, fitted }) {
    const taken = this._taken(name);
    const price = `${minutes(cost)}${fitted ? "" : ", to be fitted"}`;
    const text = taken ? `${capital(name)}: ${this.units.show(taken.value, taken.kind)}` : `${capital(name)}, ${price}`;
    const ask = () => this._ask(`${name} @ ${this.setup}`);
    return el("li", {}, el("button", { type: "button", id, disabled: Boolean(taken), onclick: ask }, text));
  }

  _drawTaken() {
    const rows = this.state.readings.map((each) => {
      const limit = each.kind === "temperature" ? "" : ` ± ${this.units.show(each["two sigma"], each.kind)}`;
      return el(
        "li",
        {},
        el("span", {}, capital(each.reading), el("small", {}, `${each["set-up"]}, ${minutes(each.minutes)}`)),
        el("strong", {}, this.units.show(each.value, each.kind), el("small", {}, limit)),
      );
    });
    const refused = this.state.refused.map(({ what, why }) =>
      el("li", { class: "finding" }, el("span", {}, capital(what), el("small", {}, why))),
    );
    if (!rows.length && !refused.length) rows.push(el("li", {}, "None yet."));
    fill($("taken"), el("h2", {}, "Readings so far"), el("ul", {}, ...rows.reverse(), ...refused.reverse()));
  }

  _drawName() {
    if (this.state.found) return void ($("name").hidden = true);
    const choose = el(
      "select",
      { id: "cause" },
      ...this.offers.faults.map((name) =>
        el("option", { value: name, selected: name === this.guess }, name),
      ),
    );
    choose.addEventListener("change", () => (this.guess = choose.value));
    fill(
      $("name"),
      el("h2", {}, "Name the cause"),
      el("label", { for: "cause" }, "What is wrong with it"),
      choose,
      el("button", { type: "button", id: "name-it", class: "main", onclick: () => this._name(choose.value) }, "Name it"),
      ...this.state.wrong.map((name) => el("p", { class: "refused" }, `Not it: ${name}`)),
    );
  }
}
