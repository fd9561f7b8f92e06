// Two side by side: the same sliders move both; side b has another valve, or one value of its own (a fault).

import { capital, el, fill, handleName } from "./dom.js";
import { Session } from "./session.js";

/** Side b: what differs there, chosen in a small form. */
export class Compare {
  constructor(host, session, display, { changed }) {
    this.host = host;
    this.session = session;
    this.display = display;
    this.changed = changed;
    this.other = null;
    this.own = {};
    this.said = "";
    session.addEventListener("scene", () => this.build());
    session.addEventListener("set", () => this.follow());
  }

  build() {
    const { scene } = this.session;
    const swaps = (scene.swaps ?? []).flatMap(({ key, choices, value }) =>
      choices.filter((choice) => choice !== value).map((choice) => ({ key, choice })),
    );
    const inside = scene.handles.filter((handle) => handle.group !== "operating point");
    this.kind = el(
      "select",
      { id: "compare-what", onchange: () => this._chosen() },
      swaps.length ? el("optgroup", { label: "Another valve" }, ...swaps.map(({ key, choice }) =>
        el("option", { value: JSON.stringify({ key, choice }) }, `${capital(key.replace(/\.valve$/, ""))}: ${choice}`))) : null,
      el("optgroup", { label: "A fault, or another adjustment" }, ...inside.map((handle) =>
        el("option", { value: JSON.stringify({ parameter: handle.parameter }) }, handleName(handle)))),
    );
    this.value = el("input", { type: "text", id: "compare-value", autocomplete: "off", onchange: () => this._typed() });
    this.boxed = el("span", { class: "compare-value" }, el("label", { for: "compare-value" }, "is"), this.value);
    this.warning = el("span", { class: "refused", role: "alert" });
    fill(this.host, el("label", { for: "compare-what" }, "On side b"), this.kind, this.boxed, this.warning);
    this.started = false;
  }

  /** Set side b up when the view is first opened. */
  async open() {
    if (this.started) return;
    this.started = true;
    await this._chosen();
  }

  async _chosen() {
    const chosen = JSON.parse(this.kind.value || "{}");
    this.boxed.hidden = !chosen.parameter;
    this.own = {};
    this.changes = {};
    if (chosen.parameter) {
      const handle = this.session.handles.get(chosen.parameter);
      const value = this.session.value(chosen.parameter);
      const far = handle.high - value > value - handle.low ? handle.high : handle.low;
      this.own = { [chosen.parameter]: value === 0 ? far : value + (far - value) / 2 };
      this.value.value = this.display.units.show(this.own[chosen.parameter], handle.kind);
    } else {
      this.changes = { [chosen.key]: chosen.choice };
    }
    await this._load();
  }

  async _typed() {
    const { parameter } = JSON.parse(this.kind.value);
    const handle = this.session.handles.get(parameter);
    const value = this.display.units.read(this.value.value, handle.kind);
    this.warning.textContent = Number.isNaN(value) ? "a number is wanted" : "";
    if (Number.isNaN(value)) return;
    this.own = { [parameter]: value };
    this.value.value = this.display.units.show(value, handle.kind);
    this.follow();
    this._name();
  }

  async _load() {
    try {
      const scene = await this.session.source.side(this.changes);
      this.other = new Session(this.session.source, "b");
      for (const what of ["frame", "problem", "curves"]) {
        this.other.addEventListener(what, () => this.changed());
      }
      this.other.set = this._set(new Set(scene.handles.map(({ parameter }) => parameter)));
      this.other.take(scene);
      this.warning.textContent = "";
    } catch (error) {
      this.warning.textContent = error.message;
    }
    this._name();
    this.changed(true);
  }

  /** Values of side a that side b has as well, and its own. */
  _set(known) {
    const swapped = Object.keys(this.changes).map((key) => key.replace(/valve$/, ""));
    const shared = Object.entries(this.session.set).filter(
      ([name]) => known.has(name) && !swapped.some((prefix) => name.startsWith(prefix)),
    );
    return { ...Object.fromEntries(shared), ...this.own };
  }

  /** Side a was moved: side b follows. */
  follow() {
    if (!this.other) return;
    this.other.put(this._set(new Set(this.other.handles.keys())));
    this.curvesWanted?.();
  }

  _name() {
    const [changed] = Object.entries(this.changes);
    const [own] = Object.entries(this.own);
    if (changed) this.said = changed[1];
    else if (own) {
      const handle = this.session.handles.get(own[0]);
      this.said = `${handleName(handle)} ${this.display.units.show(own[1], handle.kind)}`;
    }
  }
}
