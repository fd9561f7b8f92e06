// The test stand: asks for one reading after the other.  What is typed goes into the file at once; a reading on its
// way there is kept in the browser, so that neither a reload nor a lost network loses it.

import { capital, el, fill, settled } from "../dom.js";
import { foundWords, oddList, reasons, verdictWord } from "./found.js";
import { StandSource } from "./source.js";

const $ = (id) => document.getElementById(id);
const PAUSE = 200; // ms without a key before what is typed is checked
const READING = /\/rows\/|\/[0-9]+$/; // a prompt of a reading, which brings no other question
const AWAY = "Not written: the computer of the stand cannot be reached. What you typed is kept here.";

export class Stand {
  constructor() {
    this.source = new StandSource();
    this.state = null;
    this.at = null;
    this.shown = null; // the prompt on the card
    this.sending = Promise.resolve();
    this.check = settled(PAUSE, () => this._check());
    $("back").addEventListener("click", () => this._move(-1));
    $("undo").addEventListener("click", () => this._undo());
    $("units").addEventListener("click", () => this._otherUnits());
    $("group").addEventListener("change", () => this._leave(() => this.go(Number($("group").value))));
    document.addEventListener("visibilitychange", () => document.hidden || this._refresh());
  }

  async open() {
    try {
      this._take(await this.source.state());
    } catch (error) {
      fill($("card"), el("p", { role: "alert", class: "refused" }, error.message));
      return;
    }
    const kept = this.state.prompts.findIndex(({ id, value }) => (this._kept(id) ?? value) !== value);
    this.go(kept >= 0 ? kept : this.state.at);
  }

  get prompt() {
    return this.state.prompts[this.at] ?? null;
  }

  /** Ask for prompt `at`; behind the last one is the end. */
  go(at) {
    this.at = Math.max(0, Math.min(at, this.state.prompts.length));
    this.shown = this.prompt;
    if (this.prompt) this._ask(this.prompt);
    else this.sending.then(() => this.prompt || this._end());
    $("back").disabled = this.at === 0;
    $("next").disabled = !this.prompt;
    this._groups();
    $("card").closest("main").scrollTop = 0;
  }

  // -- one prompt --------------------------------------------------------------------------------------------
  _ask({ id, group, label, sort, unit, hint, choices, value, cautions, needed }) {
    const typed = this._kept(id) ?? value;
    this.input = el("input", {
      type: "text",
      id: "typed",
      inputmode: sort === "number" ? "decimal" : "text",
      autocomplete: "off",
      autocapitalize: "none",
      spellcheck: "false",
      "aria-describedby": "hint wrong",
    });
    this.input.value = typed;
    this.input.addEventListener("input", () => this._typed());
    const form = el(
      "form",
      { id: "ask", onsubmit: (event) => this._submit(event) },
      el("p", { class: "quiet" }, group + (needed ? "" : " (may be left empty)")),
      el("h2", {}, el("label", { for: sort === "choice" ? null : "typed", id: "label" }, label)),
      el("p", { class: "hint", id: "hint" }, hint ? capital(hint) : ""),
      sort === "choice" ? this._choices(choices, typed, needed) : this._field(sort, unit),
      el("p", { class: "refused", id: "wrong", role: "alert" }),
      el("div", { id: "odd", role: "status" }),
    );
    fill($("card"), form, this._cautions(cautions));
    const first = sort === "choice" ? form.querySelector("button") : this.input;
    first.focus({ preventScroll: true });
    if (sort !== "choice") this.input.select();
    if (typed !== value) this.check();
  }

  _field(sort, unit) {
    return el("div", { class: `typed ${sort}` }, this.input, unit ? el("span", { class: "unit" }, unit) : null);
  }

  _choices(choices, value, needed) {
    const button = (choice) =>
      el(
        "button",
        { type: "button", "aria-pressed": String(choice === value), onclick: () => this._choose(choice) },
        choice || "None of these",
      );
    const offered = needed ? choices : [...choices, ""];
    return el("div", { class: "choices", role: "group", "aria-labelledby": "label" }, ...offered.map(button));
  }

  _cautions(here) {
    const list = (texts) => el("ul", { class: "cautions" }, ...texts.map((text) => el("li", {}, `Caution: ${text}`)));
    if (here.length) return list(here);
    return el("details", {}, el("summary", {}, "Cautions of this test"), list(this.state.cautions));
  }

  _typed() {
    localStorage.setItem(this._key(this.prompt.id), this.input.value);
    this.check();
  }

  async _check() {
    const { prompt } = this;
    const typed = this.input?.value.trim();
    if (!prompt || prompt.sort === "choice" || !typed || typed === prompt.value) {
      this._wrong("");
      return;
    }
    try {
      const told = await this.source.check(prompt.id, typed);
      if (told && this.prompt?.id === prompt.id) this._wrong(told.problem ? problemWords(told.problem) : "", told.odd);
    } catch {
      // the network is away: it is told when the reading is given
    }
  }

  _wrong(text, odd = []) {
    if ($("wrong")) $("wrong").textContent = text;
    if ($("odd")) fill($("odd"), odd.length ? oddList(odd) : null);
  }

  // -- answers -----------------------------------------------------------------------------------------------
  _submit(event) {
    event.preventDefault();
    this._move(1);
  }

  async _choose(choice) {
    this.input.value = choice;
    await this._move(1);
  }

  _move(by) {
    const id = this.prompt?.id;
    return this._leave(() => {
      const now = this.state.prompts.findIndex((each) => each.id === id);
      this.go((now < 0 ? this.at : now) + by);
    });
  }

  /** Write what was typed, then go on: a reading goes on its way while the next is typed already; of anything else
   * the answer is waited for, as it may bring other questions. */
  async _leave(then) {
    const { prompt } = this;
    const typed = this.input?.value.trim();
    if (!prompt || typed === prompt.value) {
      if (prompt) localStorage.removeItem(this._key(prompt.id));
      then();
      return;
    }
    localStorage.setItem(this._key(prompt.id), typed);
    const sent = this._send(prompt, typed);
    if (!READING.test(prompt.id) || !typed) {
      this.input.readOnly = true;
      if (!(await sent)) return;
    }
    then();
  }

  /** Answers are written one after the other; true when this one has been. */
  _send(prompt, typed) {
    this.sending = this.sending.then(async () => {
      try {
        this._take(await this.source.put(prompt.id, typed, this.state.was));
        localStorage.removeItem(this._key(prompt.id));
        this._follow();
        return true;
      } catch (error) {
        await this._refused(prompt, error);
        return false;
      }
    });
    return this.sending;
  }

  /** The state is new: the prompt that is shown may stand elsewhere now, or ask a little differently. */
  _follow() {
    const { id } = this.shown ?? {};
    const now = this.state.prompts.findIndex((each) => each.id === id);
    if (now < 0) return;
    this.at = now;
    $("hint").textContent = capital(this.prompt.hint);
    this._groups();
    this.check(); // what is being typed already may look odd beside what has been written
  }

  async _refused(prompt, error) {
    if (error.problem?.what.includes("meanwhile")) this._take(await this.source.state());
    const now = this.state.prompts.findIndex(({ id }) => id === prompt.id);
    if (now >= 0) this.go(now);
    if (this.input) this.input.readOnly = false;
    this._wrong(error.problem ? problemWords(error.problem) : AWAY);
  }

  async _undo() {
    await this.sending;
    try {
      const before = this.state.prompts;
      this._take(await this.source.undo());
      const { prompts } = this.state;
      const now = new Map(prompts.map(({ id, value }) => [id, value]));
      const gone = before.find(({ id, value }) => value !== (now.get(id) ?? "") && now.has(id));
      this.go(gone ? prompts.findIndex(({ id }) => id === gone.id) : this.at);
    } catch (error) {
      this._wrong(error.message);
    }
  }

  // -- the whole ---------------------------------------------------------------------------------------------
  _take(state) {
    this.state = state;
    $("title").textContent = state.title || state.file;
    document.title = `${state.title || state.file}: test stand - Oilway`;
    $("undo").disabled = !state.undo;
    $("units").textContent = this.source.units === "shop" ? "in bar" : "in psi";
    fill($("found"), ...foundWords(state, this.source));
  }

  async _refresh() {
    const { prompt, input } = this;
    if (!this.state || (prompt && input.value.trim() !== prompt.value)) return;
    const before = this.state.was;
    await this.sending;
    await this.source.state().then(
      (state) => this._take(state),
      () => {},
    );
    if (this.state.was !== before) this.go(this.state.at);
  }

  _groups() {
    const firsts = new Map();
    this.state.prompts.forEach(({ group }, k) => firsts.has(group) || firsts.set(group, k));
    const option = (text, k) => el("option", { value: k }, text);
    const { prompts, at } = this.state;
    fill(
      $("group"),
      at < prompts.length ? option("Next that is needed", at) : null,
      ...[...firsts].map(([group, k]) => option(group, k)),
      option("Verdict", prompts.length),
    );
    $("group").value = String(this.prompt ? firsts.get(this.prompt.group) : prompts.length);
  }

  _end() {
    this.input = null;
    const { proof, was, log, at, prompts } = this.state;
    const open = at < prompts.length;
    if (!proof) {
      fill($("card"), el("h2", {}, "Nothing proven yet"), el("p", {}, "Readings are still missing: see Go to."));
      return;
    }
    const sheet = { class: "link", href: this.source.address("sheet.pdf", was), target: "_blank" };
    const left = prompts.findIndex(({ group }) => group === "As left");
    const more = proof["judged section"] === "as found" && left >= 0;
    fill(
      $("card"),
      el("h2", { tabindex: "-1" }, open ? "So far" : "All is read"),
      el("p", { class: "verdict", "data-verdict": proof.verdict }, verdictWord(proof.verdict)),
      reasons(proof.judged),
      el("ul", { class: "cautions" }, el("li", {}, `Caution: ${this.state["last caution"]}`)),
      el(
        "div",
        { class: "ends" },
        open ? el("button", { type: "button", onclick: () => this.go(at) }, "Read what is missing") : null,
        el("a", sheet, "Test sheet (PDF)"),
        log ? el("button", { type: "button", class: "main", onclick: () => this._store() }, "Keep in the bench log") : null,
        more ? el("button", { type: "button", onclick: () => this.go(left) }, "Set it again, and read it as left") : null,
        el("p", { id: "stored", role: "status" }),
      ),
    );
    $("card").querySelector("h2").focus({ preventScroll: true });
  }

  async _store() {
    try {
      const { sheet, new: fresh, log } = await this.source.store();
      $("stored").textContent = `${log}: sheet ${sheet}${fresh ? "" : ", stored before"}`;
    } catch (error) {
      $("stored").textContent = error.message;
    }
  }

  _otherUnits() {
    this._leave(async () => {
      this.source.otherUnits();
      this._take(await this.source.state());
      this.go(this.at);
    });
  }

  _key(id) {
    return `oilway-stand: ${this.state.file}: ${id}`;
  }

  _kept(id) {
    return localStorage.getItem(this._key(id));
  }
}

function problemWords({ what, hint }) {
  return hint ? `${what} (${hint})` : what;
}
