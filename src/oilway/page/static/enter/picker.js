// Whose sheet: a few keys of an id, a name or the code on the sheet, then Enter.

import { el, fill } from "../dom.js";

const $ = (id) => document.getElementById(id);

export class Picker {
  /** `chosen(id)` is called with a student, `coded(text)` with what is none: it may be a code that is not known yet. */
  constructor(chosen, coded) {
    this.chosen = chosen;
    this.coded = coded;
    this.students = [];
    this.words = () => "";
    this.found = [];
    this.at = 0;
    this.offered = null; // an id
    this.shown = "";
    this.input = $("who");
    this.input.addEventListener("input", () => this._look(0));
    this.input.addEventListener("keydown", (event) => this._key(event));
    this.input.addEventListener("focus", () => this._open());
    this.input.addEventListener("blur", () => {
      this.input.value = this.shown;
      this._close();
    });
  }

  /** Ask; `first` is offered at once. */
  ask(first) {
    this.offered = first;
    if (document.activeElement === this.input) this._open();
    else this.input.focus();
  }

  /** Show who was chosen. */
  show({ id, name }) {
    this.offered = id;
    this.shown = this.input.value = name ? `${name} (${id})` : id;
    this.tell("");
    this._close();
  }

  tell(text) {
    $("whom").textContent = text;
  }

  _open() {
    this.input.value = "";
    this._look(Math.max(0, this.students.findIndex(({ id }) => id === this.offered)));
  }

  _look(at) {
    const typed = this.input.value.trim().toLowerCase();
    const fits = ({ id, name, code }) =>
      [id, code, ...`${name} ${id}`.split(/[\s,.-]+/), name].some((word) => word.toLowerCase().startsWith(typed)) ||
      (typed.length > 1 && id.toLowerCase().endsWith(typed));
    this.found = this.students.filter(fits);
    this.at = Math.min(at, Math.max(0, this.found.length - 1));
    this.tell("");
    this._list();
  }

  _list() {
    const option = (student, k) =>
      el(
        "li",
        { role: "option", id: `name-${k}`, "aria-selected": String(k === this.at), onmousedown: (event) => this._point(event, k) },
        el("b", {}, student.name || student.id),
        el("span", { class: "quiet" }, student.name ? student.id : ""),
        el("span", { class: "quiet" }, this.words(student)),
      );
    fill($("names"), ...this.found.map(option));
    $("names").hidden = !this.found.length;
    this.input.setAttribute("aria-expanded", String(this.found.length > 0));
    if (this.found.length) {
      this.input.setAttribute("aria-activedescendant", `name-${this.at}`);
      $(`name-${this.at}`).scrollIntoView({ block: "nearest" });
    } else this.input.removeAttribute("aria-activedescendant");
  }

  _close() {
    $("names").hidden = true;
    this.input.setAttribute("aria-expanded", "false");
    this.input.removeAttribute("aria-activedescendant");
  }

  _point(event, k) {
    event.preventDefault();
    this.chosen(this.found[k].id);
  }

  _key(event) {
    const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
    if (step) {
      event.preventDefault();
      if ($("names").hidden) this._look(this.at);
      else if (this.found.length) {
        this.at = (this.at + step + this.found.length) % this.found.length;
        this._list();
      }
    } else if (event.key === "Enter") {
      event.preventDefault();
      if ($("names").hidden) this._look(0);
      if (this.found.length) this.chosen(this.found[this.at].id);
      else this.coded(this.input.value.trim());
    } else if (event.key === "Escape") this._close();
  }
}
