// The page of the workshop as a whole: one text, the list of what is in it, a form, a picture and the text itself.

import { el, fill } from "../dom.js";
import { problemText } from "../words.js";
import { askStart, askText } from "./dialogs.js";
import { Draft } from "./draft.js";
import { FormView } from "./form.js";
import { groupsOf } from "./groups.js";
import { ListView } from "./list.js";
import { LookView } from "./look.js";
import { WorkshopSource } from "./source.js";
import { TextView } from "./text.js";

const TABS = { list: "In the file", form: "Form", look: "Picture", text: "Text" }; // of a phone
const $ = (id) => document.getElementById(id);

export class Workshop {
  constructor(source = new WorkshopSource()) {
    this.source = source;
    this.draft = new Draft(source);
    this.subject = { sort: "head", name: "machine" };
  }

  /** Load the forms and go on with what was being written, or with the file that is open. */
  async open() {
    this._build();
    try {
      this.forms = await this.source.forms();
      this.form.take(this.forms);
      $("actions").querySelector("[data-name=start]").disabled = false;
      const kept = await this.draft.restore();
      if (!kept) await this.draft.start(this.forms.open);
    } catch (error) {
      this._tell(error);
    }
  }

  _build() {
    const { draft } = this;
    const go = (subject) => this.go(subject);
    this.list = new ListView($("list"), { go });
    this.form = new FormView($("form"), draft, {
      go,
      set: (path, value) => draft.change({ what: "set", path, value }),
      add: (name, keys) => this._add(name, keys),
      remove: (path, quiet) => this._remove(path, quiet),
      invent: () => this._invent(),
      addPort: () => this._addPort(),
    });
    this.look = new LookView({ picture: $("picture"), which: $("which"), wrong: $("wrong") }, this.source, {
      touched: (part) => this._touched(part),
      go: ({ path }) => this._toField(path),
      came: (picture) => this._pictured(picture),
    });
    this.text = new TextView($("text"), {
      write: (text) => draft.write(text).catch((error) => this._tell(error)),
    });
    draft.addEventListener("text", () => this._show());
    this._controls();
  }

  _controls() {
    const button = (name, text, act) => el("button", { type: "button", "data-name": name, onclick: act }, text);
    const step = (by) => () => this.draft.step(by).catch((error) => this._tell(error));
    fill(
      $("actions"),
      button("start", "Begin with ...", () => this._start()),
      button("undo", "Undo", step(-1)),
      button("redo", "Redo", step(1)),
      button("save", "Save as ...", () => this._save()),
      button("goon", "Open it", () => this._goOn()),
      el("a", { href: "/", class: "link" }, "Back to the page"),
    );
    fill($("tabs"), ...Object.entries(TABS).map(([tab, text]) => button(tab, text, () => this._tab(tab))));
    $("actions").querySelector("[data-name=start]").disabled = true; // until the forms are here
    this._tab("list");
    window.addEventListener("beforeunload", (event) => {
      if (this.draft.unsaved && !this.leaving) event.preventDefault();
    });
    document.addEventListener("keydown", (event) => this._key(event, step));
  }

  _key(event, step) {
    if (!(event.ctrlKey || event.metaKey) || event.altKey || document.querySelector("dialog[open]")) return;
    const key = event.key.toLowerCase();
    const { target } = event;
    const typing =
      target.matches("textarea") ||
      (target.matches("input") && target.value !== target.defaultValue && this._dirty(target));
    if (key === "s") this._save();
    else if (key === "z" && !typing) step(event.shiftKey ? 1 : -1)();
    else if (key === "y" && !typing) step(1)();
    else return;
    event.preventDefault();
  }

  /** Whether something is being typed that is not in the file yet: the field undoes that itself. */
  _dirty(input) {
    const field = this.form.fields.find(({ control }) => control === input);
    return !field || field.value !== input.value;
  }

  /** Choose what the form shows. */
  go(subject) {
    this.subject = subject;
    this._tab("form");
    this._forms();
    if (subject.sort === "add") $("new-name")?.select();
    $("form").scrollTop = 0;
  }

  _show() {
    const { draft } = this;
    const title = draft.tree.machine ?? draft.tree.valve ?? "Workshop";
    $("title").textContent = title;
    document.title = `${title} - workshop - Oilway`;
    $("state").textContent = draft.unsaved ? (draft.name ? `${draft.name}, not saved` : "Not saved") : draft.name;
    for (const [name, on] of [
      ["undo", draft.canUndo],
      ["redo", draft.canRedo],
      ["goon", !draft.unsaved && Boolean(draft.disk[draft.name]?.was)],
    ]) {
      $("actions").querySelector(`[data-name=${name}]`).disabled = !on;
    }
    this._banner("");
    if (Object.keys(draft.tree).length) this._forms();
    this.text.show(draft);
    this.look.show(draft);
  }

  /** List and form; a subject that is gone gives way to its group. */
  _forms() {
    const { draft } = this;
    const groups = groupsOf(draft.tree, draft.isValve);
    this.subject = this._there(groups);
    if (this.subject.sort === "group") {
      const at = groups.findIndex(({ title }) => title === this.subject.title);
      const next = groups.slice(at + 1).find(({ last }) => !last);
      const after =
        next &&
        (next.head ? { sort: "head", name: next.head, title: next.title } : { sort: "group", title: next.title });
      this.subject.group = { ...groups[at], after };
    }
    this.list.show(draft.tree, draft.isValve, draft.problems, this.subject);
    this.form.show(this.subject);
  }

  _there(groups) {
    const { sort, name, title } = this.subject;
    const { tree, isValve } = this.draft;
    const first = isValve ? { sort: "group", title: groups[0].title } : { sort: "head", name: "machine" };
    if (sort === "part" && !(name in (tree.parts ?? {}))) return this.before ?? first;
    if (sort === "port" && !(name in (tree.ports ?? {}))) return first;
    if (sort === "head" && (name === "valve") !== isValve) return first;
    if (sort === "group" && !groups.some((group) => group.title === title)) return first;
    this.before = sort === "group" ? this.subject : this.before;
    return this.subject;
  }

  _touched(part) {
    const parts = Object.keys(this.draft.tree.parts ?? {});
    const name = parts
      .filter((each) => part === each || part.startsWith(`${each}.`))
      .sort((a, b) => b.length - a.length)[0];
    if (name) this.go({ sort: "part", name });
  }

  _pictured(picture) {
    this.form.picture = picture;
    if (this.subject.sort === "head" && this.subject.name === "point") this._forms();
  }

  /** To the field that a problem is about. */
  _toField(path) {
    const [top, name, key] = path;
    const { isValve } = this.draft;
    if (top === "parts" && name) this.go({ sort: "part", name });
    else if (top === "ports" && name) this.go({ sort: "port", name });
    else if (top === "oil" || top === "operating point")
      this.go({ sort: "head", name: top === "oil" ? "oil" : "point" });
    else if (top === "options" || top === "states" || top === "stand") this.go({ sort: "text", name: top });
    else this.go({ sort: "head", name: isValve ? "valve" : "machine" });
    this.form.focus(key ?? (top === "oil" || top === "operating point" ? name : top));
  }

  async _add(name, keys) {
    await this.draft.change({ what: "add", name, keys });
    this.go({ sort: "part", name });
    this.form.focus(this.draft.problems.find(({ path }) => path[1] === name)?.path[2] ?? "");
  }

  async _remove(path, quiet) {
    try {
      await this.draft.change({ what: "remove", path });
    } catch (error) {
      if (!quiet) this._tell(error);
    }
    if (!quiet) $("form").focus();
  }

  _invent() {
    return askText("New chamber", {
      label: "Name of the chamber",
      done: "Add",
      about: "A line or a space with a pressure of its own; its volume can be given later.",
      act: (name) => this.draft.change({ what: "add", name, keys: { kind: "chamber" } }),
    });
  }

  async _addPort() {
    const name = await askText("New port", {
      label: "Letter of the port",
      done: "Add",
      about: "P inlet, T outlet, A and B work ports, X pilot or vent, Y drain",
      act: (port) => {
        if (!port) throw new Error("A port needs a name");
        return this.draft.change({ what: "set", path: ["ports", port, "role"], value: "" });
      },
    });
    if (name) this.go({ sort: "port", name });
  }

  async _start() {
    const { "start from": all, files } = this.forms;
    const blanks = all.filter((name) => name.startsWith("a "));
    const others = all.filter((name) => !blanks.includes(name));
    const name = await askStart({
      "Nothing yet": blanks,
      "A file of this folder": files,
      "An example": others.filter((each) => each.endsWith(".yaml") && !files.includes(each)),
      "A valve that comes with Oilway": others.filter((each) => !each.endsWith(".yaml")),
    });
    if (!name) return;
    this.before = null;
    this.look.clear();
    this.subject = { sort: "group", title: "Chambers" };
    await this.draft.start(name).catch((error) => this._tell(error));
  }

  async _save() {
    const { draft } = this;
    const usual =
      draft.name ||
      `${(draft.tree.machine ?? draft.tree.valve ?? "my machine").replace(/[^A-Za-z0-9 _-]/g, "").trim() || "my machine"}.yaml`;
    await askText("Save as", {
      label: "Name of the file",
      value: usual,
      done: "Save",
      about:
        "It is written beside the file that is open. A file that this page has not read is never overwritten.",
      act: (name) => draft.save(name.includes(".") ? name : `${name}.yaml`),
    });
    this.forms = await this.source.forms();
    this.form.take(this.forms);
  }

  async _goOn() {
    try {
      await this.source.goOn(this.draft.name);
      this.leaving = true;
      window.location.assign("/");
    } catch (error) {
      this._tell(error);
    }
  }

  _tell(error) {
    this._banner(error.problem ? problemText(error.problem) : String(error));
  }

  _banner(text) {
    $("banner").textContent = text;
    $("banner").hidden = !text;
  }

  _tab(tab) {
    document.body.dataset.tab = tab;
    for (const button of $("tabs").children) button.setAttribute("aria-pressed", button.dataset.name === tab);
  }
}
