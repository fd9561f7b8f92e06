// The sliders: what may be changed, its value with its unit, by hand, by key, or typed.

import { capital, el, fill, handleName, handleWords } from "./dom.js";

const FINE = 0.1; // of a step, with Shift
const COARSE = 10; // steps, with Page Up and Page Down
const KEYS = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1, PageUp: COARSE, PageDown: -COARSE };

/** A bar of sliders for the handles of a session, one group of them at a time. */
export class Handles {
  constructor(host, session, display) {
    this.host = host;
    this.session = session;
    this.display = display;
    this.rows = new Map();
    this.tabs = el("div", { class: "groups", role: "group", "aria-label": "Which sliders" });
    this.bar = el("div", { class: "sliders", tabindex: "-1" });
    fill(host, this.tabs, this.bar);
    session.addEventListener("scene", () => this.build());
    session.addEventListener("set", () => this.refresh());
    display.addEventListener("change", () => this.refresh());
  }

  build() {
    const groups = [...new Set(this.session.scene.handles.map((handle) => handle.group))];
    if (!groups.includes(this.group)) this.group = groups[0];
    const buttons = groups.map((group) =>
      el("button", { type: "button", "data-group": group, onclick: () => this.choose(group) }, capital(group)),
    );
    const reset = el(
      "button",
      { type: "button", class: "reset", onclick: () => this.session.put({}) },
      "As in the file",
    );
    fill(this.tabs, ...buttons, reset);
    this.choose(this.group);
  }

  /** Show another group. */
  choose(group) {
    this.group = group;
    for (const button of this.tabs.querySelectorAll("[data-group]")) {
      button.setAttribute("aria-pressed", button.dataset.group === group);
    }
    const shown = this.session.scene.handles.filter((handle) => handle.group === group);
    this.rows = new Map(shown.map((handle) => [handle.parameter, this._row(handle)]));
    fill(this.bar, ...[...this.rows.values()].map((row) => row.box));
    this.refresh();
  }

  refresh() {
    for (const row of this.rows.values()) row.refresh();
  }

  /** Show the next group. */
  next() {
    const groups = [...this.tabs.querySelectorAll("[data-group]")].map((button) => button.dataset.group);
    this.choose(groups[(groups.indexOf(this.group) + 1) % groups.length]);
    this.focus();
  }

  focus() {
    this.bar.querySelector("input[type=range]")?.focus();
  }

  _row(handle) {
    const { session, display } = this;
    const id = `handle-${handle.parameter.replace(/[^a-z0-9]+/gi, "-")}`;
    const { valve, name } = handleWords(handle);
    const set = (value) => {
      const kept = Math.min(Math.max(value, handle.low), handle.high);
      if (kept !== session.value(handle.parameter)) session.change({ [handle.parameter]: kept });
    };
    const slider = el("input", {
      type: "range",
      id,
      min: handle.low,
      max: handle.high,
      step: "any",
      oninput: () => set(Number(slider.value)),
      onkeydown: (event) => {
        if (event.altKey || event.ctrlKey || event.metaKey || event.defaultPrevented) return;
        if (event.key === "Home" || event.key === "End") set(event.key === "Home" ? handle.low : handle.high);
        else if (event.key in KEYS) {
          set(session.value(handle.parameter) + KEYS[event.key] * handle.step * (event.shiftKey ? FINE : 1));
        } else return;
        event.preventDefault();
      },
    });
    const typed = el("input", {
      type: "text",
      class: "typed",
      inputmode: "decimal",
      autocomplete: "off",
      spellcheck: "false",
      "aria-label": `${handleName(handle)}, type a value`,
      onfocus: () => typed.select(),
      onchange: () => this._typed(handle, typed, set, warning),
      onkeydown: (event) => {
        if (event.key === "Escape") row.refresh();
      },
    });
    const warning = el("span", { class: "refused", role: "alert" });
    const about = [handle.meaning, handle.source].filter(Boolean).join(" - ");
    const label = el("label", { for: id, title: about }, name, valve ? el("small", {}, ` ${valve}`) : null);
    const row = {
      box: el("div", { class: "handle" }, label, typed, slider, warning),
      refresh() {
        const value = session.value(handle.parameter);
        const shown = display.units.show(value, handle.kind);
        slider.value = value;
        slider.setAttribute("aria-valuetext", shown);
        slider.style.setProperty("--share", `${(100 * (value - handle.low)) / (handle.high - handle.low || 1)}%`);
        typed.value = shown;
        row.box.classList.toggle("moved", handle.parameter in session.set);
        warning.textContent = "";
      },
    };
    return row;
  }

  _typed(handle, typed, set, warning) {
    const value = this.display.units.read(typed.value, handle.kind);
    const [low, high] = [handle.low, handle.high].map((end) => this.display.units.show(end, handle.kind));
    const inside = value >= handle.low * (1 - 1e-9) - 1e-12 && value <= handle.high * (1 + 1e-9) + 1e-12;
    if (inside) {
      set(value);
      this.rows.get(handle.parameter).refresh();
    } else {
      warning.textContent = Number.isNaN(value) ? `a number, for example ${low}` : `from ${low} to ${high}`;
    }
    typed.setAttribute("aria-invalid", !inside);
  }
}
