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
    this.own = {};
    this.changes = {};
    this.said = "";
    session.addEventListener("scene", () => this.build());
    session.addEventListener("set", () => this.follow());
  }

  build() {
    this.started = false;
    this.other = null;
    fill(this.host, el("p", {}, "Looking for what could be compared ..."));
  }

  _form(found) {
    const { scene } = this.session;
    const swaps = found.flatMap(({ key, others }) => others.map((choice) => ({ key, choice })));
    const inside = scene.handles.filter((handle) => handle.group !== "operating point");
    this.kind = el(
      "select",
      { id: "compare-what", onchange: () => this._chosen() },
      swaps.length
        ? el(
            "optgroup",
            { label: "Another valve" },
            ...swaps.map(({ key, choice }) =>
              el("option", { value: JSON.stringify({ key, choice }) }, swapName(key, choice)),
            ),
          )
        : null,
      el(
        "optgroup",
        { label: "A fault, or another adjustment" },
        ...inside.map((handle) =>
          el("option", { value: JSON.stringify({ parameter: handle.parameter }) }, handleName(handle)),
        ),
      ),
    );
    this.value = el("input", {
      type: "text",
      id: "compare-value",
      autocomplete: "off",
      onchange: () => this._typed(),
    });
    this.boxed = el("span", { class: "compare-value" }, el("label", { for: "compare-value" }, "is"), this.value);
    this.warning = el("span", { class: "refused", role: "alert" });
    this.waits = el("span", { role: "status" });
    const label = el("label", { for: "compare-what" }, "On side b");
    fill(this.host, label, this.kind, this.boxed, this.warning, this.waits);
  }

  /** Set side b up when the view is first opened. */
  async open() {
    this.follow();
    if (this.started) return;
    this.started = true;
    try {
      const { swaps, b } = await this.session.source.swaps();
      this._form(swaps);
      if (b) await this._found(b);
      else await this._chosen();
    } catch (error) {
      fill(this.host, el("p", { class: "refused" }, error.message));
    }
  }

  /** Side b is there already: it was chosen on the command line, or before the page was loaded again. */
  async _found({ file, changes }) {
    this.changes = changes;
    const asked = Object.entries(changes).map(([key, choice]) => ({ key, choice }));
    if (file) asked.push({ key: "", choice: file });
    const options = [...this.kind.options].map(({ value }) => value);
    const known = asked.length === 1 && options.includes(JSON.stringify(asked[0]));
    const said = asked.map(({ key, choice }) => swapName(key, choice)).join(", ");
    if (known) this.kind.value = JSON.stringify(asked[0]);
    else if (asked.length)
      this.kind.prepend(el("option", { value: JSON.stringify({ asked }), selected: true }, said));
    else return this._chosen();
    this.boxed.hidden = true;
    return this._load(() => this.session.source.scene("b"), said);
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
    } else if (chosen.key) this.changes = { [chosen.key]: chosen.choice };
    if (chosen.asked)
      return this._found({
        file: "",
        changes: Object.fromEntries(chosen.asked.map((each) => [each.key, each.choice])),
      });
    const file = chosen.choice && !chosen.key ? chosen.choice : "";
    await this._load(
      () => this.session.source.side(this.changes, file),
      chosen.choice ? swapName(chosen.key, chosen.choice) : "",
    );
  }

  async _typed() {
    const { parameter } = JSON.parse(this.kind.value);
    const handle = this.session.handles.get(parameter);
    const value = this.display.units.read(this.value.value, handle.kind);
    this.warning.textContent = Number.isNaN(value) ? "a number is wanted" : "";
    if (Number.isNaN(value)) return;
    this.own = { [parameter]: value };
    this.value.value = this.display.units.show(value, handle.kind);
    this._name("");
    this.follow();
  }

  /** Put side b up, one after the other; of several asked for, the last one stays. */
  _load(get, said) {
    this.turn = (this.turn ?? 0) + 1;
    const { turn } = this;
    this.waits.textContent = "Side b is being set up ...";
    this.loading = Promise.resolve(this.loading).then(async () => {
      if (turn !== this.turn) return;
      await this._loadNow(get, said);
      if (turn === this.turn) this.waits.textContent = "";
    });
    return this.loading;
  }

  async _loadNow(get, said) {
    try {
      const scene = await get();
      const other = new Session(this.session.source, "b");
      other.set = this._set(new Set(scene.handles.map(({ parameter }) => parameter)));
      other.take(scene);
      this.other = other; // with "scene" below its picture is put up; its first numbers do not fit the one before
      for (const what of ["frame", "problem", "curves"]) {
        other.addEventListener(what, () => this.changed(what));
      }
      this.warning.textContent = "";
    } catch (error) {
      this.warning.textContent = error.message;
    }
    this._name(said);
    this.changed("scene");
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
    if (!this.other || !this.shown) return;
    this.other.put(this._set(new Set(this.other.handles.keys())));
  }

  _name(said) {
    const [own] = Object.entries(this.own);
    this.said = said;
    if (own) {
      const handle = this.session.handles.get(own[0]);
      this.said = `${handleName(handle)} ${this.display.units.show(own[1], handle.kind)}`;
    }
  }
}

/** "Main relief: direct relief", or the other file alone. */
function swapName(key, choice) {
  return key ? `${capital(key.replace(/\.valve$/, "").replaceAll(".", ", "))}: ${choice}` : choice;
}
