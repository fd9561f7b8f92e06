// One field of a form: what it means, what may stand in it, and what is wrong with what does.

import { capital, el, fill } from "../dom.js";
import { problemText } from "../words.js";

const NEW = "\n"; // no name has a line break in it
let made = 0;

/** A control for one key; `set(value)` is called when something else was put in. */
export class Field {
  /** `names()`: what a select offers; `invent`: asks for a chamber to be made, and returns its name. */
  constructor(spec, { set, names, invent }) {
    this.spec = spec;
    this.given = { set, names, invent };
    this.value = "";
    made += 1;
    const id = `field-${made}`;
    const about = {
      id,
      "aria-describedby": `${id}-about ${id}-wrong`,
      "aria-required": String(spec.required),
      onchange: () => this._changed(),
    };
    this.listed = ["choice", "port", "reference"].includes(spec.sort);
    this.control = this.listed
      ? el("select", about)
      : el("input", {
          type: "text",
          autocomplete: "off",
          spellcheck: "false",
          placeholder: spec.default,
          ...about,
        });
    this.wrong = el("div", { class: "refused", id: `${id}-wrong`, role: "alert" });
    this.element = el(
      "div",
      { class: "field", "data-key": spec.name },
      el(
        "label",
        { for: id },
        capital(spec.name),
        spec.required ? el("span", { class: "must" }, " needed") : null,
      ),
      this.control,
      el("p", { class: "about", id: `${id}-about` }, [capital(spec.meaning), ...this._range()].join(". ")),
      this.wrong,
    );
  }

  /** Show what the file has, and what is wrong with it; what is being typed stays. */
  show(value, problem) {
    const typing = document.activeElement === this.control && this.control.value !== this.value && !this.listed;
    this.value = value;
    if (this.listed) this._options();
    if (!typing) this.control.value = value;
    this.refuse(problem);
  }

  /** Say what is wrong; null takes it back. */
  refuse(problem) {
    this.control.setAttribute("aria-invalid", String(Boolean(problem)));
    const meant = /did you mean '(.+)'\?/.exec(problem?.hint ?? "")?.[1];
    const use = meant && el("button", { type: "button", onclick: () => this.given.set(meant) }, `Use '${meant}'`);
    fill(this.wrong, problem ? el("p", {}, problemText(problem)) : null, use || null);
  }

  _range() {
    const { low, high, unit, default: usual, source, sort } = this.spec;
    const said = [];
    if (low && high) said.push(`From ${low} to ${high}`);
    else if (low || high) said.push(low ? `Not below ${low}` : `Not above ${high}`);
    else if (sort === "amount" && unit) said.push(`In ${unit}, or another unit that you write`);
    if (usual) said.push(`Left out: ${usual}${source ? ` (${source})` : ""}`);
    return said;
  }

  _options() {
    const { sort, required, default: usual } = this.spec;
    const names = this.given.names();
    const none = required ? "choose ..." : usual ? `left out: ${usual}` : "left out";
    const others = this.value && !names.includes(this.value) ? [this.value] : [];
    fill(
      this.control,
      el("option", { value: "" }, none),
      ...[...names, ...others].map((name) => el("option", { value: name }, name)),
      sort === "port" ? el("option", { value: NEW }, "new chamber ...") : null,
    );
  }

  async _changed() {
    let { value } = this.control;
    if (value === NEW) {
      this.control.value = this.value;
      value = await this.given.invent();
      this.control.focus();
      if (!value) return;
    }
    if (value !== this.value) this.given.set(value.trim());
  }
}
