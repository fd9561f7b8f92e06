// The middle of the workshop: a group with what may be added to it, or the form of one thing.

import { capital, el, fill } from "../dom.js";
import { problemText } from "../words.js";
import { chambers, groupsOf, named } from "./groups.js";
import { Field } from "./field.js";

/** `acts`: set(path, value), add(name, keys), remove(path), go(subject), invent(), addPort(). */
export class FormView {
  constructor(host, draft, acts) {
    this.host = host;
    this.draft = draft;
    this.acts = acts;
  }

  /** Take over the forms that the server makes, and what the newest picture says of the operating point. */
  take({ parts, valves, heads }) {
    this.kinds = new Map(parts.map((form) => [form.kind, form]));
    this.valves = new Map(valves.map((form) => [form.kind, form]));
    this.heads = heads;
  }

  /** Show a subject: {sort: "group" | "part" | "port" | "head" | "text" | "add", name, group}. */
  show(subject) {
    const form = this._formOf(subject);
    const key = JSON.stringify([
      subject.sort,
      subject.name,
      subject.sort === "group" && subject.group.names,
      form?.kind,
      form?.fields.map(({ name }) => name),
    ]);
    if (key !== this.key) {
      const same = subject.sort === "add" && this.subject?.sort === "add" && this.subject.name === subject.name;
      this.local = same ? this.local : {};
      this.key = key;
      this.fields = [];
      fill(this.host, ...this._built(subject, form));
    }
    this.subject = subject;
    this._update(subject);
  }

  /** Put the focus on the field of a key. */
  focus(key) {
    const field = this.fields.find(({ spec }) => spec.name === key);
    field?.element.closest("details")?.setAttribute("open", "");
    (field?.control ?? this.host.querySelector("input, select, button"))?.focus();
  }

  _formOf({ sort, name }) {
    if (sort === "head") return name === "point" ? this._point() : this.heads[name];
    if (sort === "port") return this.heads.port;
    const local = this.subject?.sort === "add" ? this.local : {};
    if (sort === "add") return name === "valve" ? this._mounted(local.valve) : this.kinds.get(name);
    if (sort !== "part") return null;
    const { kind, valve } = this.draft.tree.parts?.[name] ?? {};
    return kind === "valve" ? this._mounted(valve) : this.kinds.get(kind);
  }

  /** The form of a valve in a machine: which one, then what that one takes. */
  _mounted(valve) {
    const which = {
      name: "valve",
      sort: "choice",
      meaning: "which valve, or which valve file beside this one",
      required: true,
      default: "",
      choices: [...this.valves.keys()],
    };
    const form = this.valves.get(valve);
    return {
      kind: "valve",
      about: form ? form.about : "A valve with a file of its own",
      fields: [which, ...(form?.fields ?? [])],
    };
  }

  /** The operating point: what can be changed in this machine, and what the file says besides. */
  _point() {
    const { handles = [], units } = this.picture ?? {};
    const fields = handles
      .filter(({ group }) => group === "operating point")
      .map((handle) => {
        const shown = (value) => units.show(value, handle.kind);
        return {
          name: handle.word,
          sort: "amount",
          meaning: handle.meaning,
          required: false,
          default: "",
          source: "",
          low: shown(handle.low),
          high: shown(handle.high),
          unit: units.unit(handle.kind),
        };
      });
    const known = new Set(fields.map(({ name }) => name));
    const said = Object.entries(this.draft.tree["operating point"] ?? {}).filter(
      ([name, value]) => !known.has(name) && typeof value === "string",
    );
    const more = said.map(([name]) => ({
      name,
      sort: "text",
      meaning: "said in the file",
      required: false,
      default: "",
    }));
    return {
      kind: "point",
      about: "Where the machine stands when it is opened; all else is as its parts say",
      fields: [...fields, ...more],
    };
  }

  _built(subject, form) {
    const { sort, name } = subject;
    if (sort === "group") return this._group(subject.group);
    if (sort === "text") return this._text(name);
    const title =
      sort === "add"
        ? `New: ${name}`
        : sort === "port"
          ? `Port ${name}`
          : sort === "head"
            ? headTitle(name)
            : capital(name);
    const head = [
      el("h2", {}, title),
      el("p", { class: "kind" }, sort === "part" ? `${this._kindOf(name)}. ` : "", capital(form?.about ?? "")),
    ];
    if (!form)
      return [
        ...head,
        el("p", {}, "There is no form for this kind; change it in the text."),
        this._remove(["parts", name]),
      ];
    const value = this._values(subject);
    const fields = form.fields.map((spec) => this._field(subject, spec));
    const first = fields.filter(
      ({ spec }) =>
        spec.required ||
        spec.sort === "port" ||
        form.fields.length < 8 ||
        value[spec.name] ||
        sort === "head" ||
        name === "valve" ||
        spec.name === "setting",
    );
    const rest = fields.filter((field) => !first.includes(field));
    const more = rest.length
      ? el(
          "details",
          {},
          el("summary", {}, `${rest.length} more that may be left out`),
          ...rest.map(({ element }) => element),
        )
      : null;
    if (sort === "add") return [...head, this._adding(subject, first, more)];
    return [...head, ...first.map(({ element }) => element), more, this._below(subject)];
  }

  _field(subject, spec) {
    const field = new Field(spec, {
      set: (value) => this._set(subject, spec.name, value),
      names: () => this._names(spec),
      invent: () => this.acts.invent(),
    });
    this.fields.push(field);
    return field;
  }

  /** A new part: its name and its fields, put into the file together. */
  _adding(subject, first, more) {
    const name = el("input", {
      type: "text",
      id: "new-name",
      autocomplete: "off",
      value: this._free(subject.name),
    });
    this.refused = el("p", { class: "refused", role: "alert" });
    const add = async (event) => {
      event.preventDefault();
      for (const { spec, control } of this.fields) this.local[spec.name] = control.value.trim();
      try {
        await this.acts.add(name.value.trim(), { kind: subject.name, ...this.local });
      } catch (error) {
        this.refused.textContent = error.problem ? problemText(error.problem) : String(error);
        name.focus();
      }
    };
    return el(
      "form",
      { onsubmit: add },
      el(
        "div",
        { class: "field" },
        el("label", { for: "new-name" }, "Name", el("span", { class: "must" }, " needed")),
        name,
        el("p", { class: "about" }, "What you call it; pictures and sheets use this name"),
        this.refused,
      ),
      ...first.map(({ element }) => element),
      more,
      el(
        "div",
        { class: "buttons" },
        el("button", { class: "main" }, "Add to the file"),
        el(
          "button",
          { type: "button", onclick: () => this.acts.go({ sort: "group", title: subject.group }) },
          "Cancel",
        ),
      ),
    );
  }

  _below({ sort, name }) {
    const { tree, isValve } = this.draft;
    const part = tree.parts?.[name];
    const chamber = sort === "part" && !isValve && ["chamber", "tank"].includes(part?.kind);
    const gauge = () => this.acts.add(this._free(`${name} gauge`), { kind: "gauge", at: name });
    const group = groupsOf(tree, isValve).find(
      ({ names, ports }) => names.includes(name) && Boolean(ports) === (sort === "port"),
    );
    const more = group && sort !== "head" && { sort: "group", title: group.title };
    return el(
      "div",
      { class: "buttons" },
      more
        ? el("button", { type: "button", onclick: () => this.acts.go(more) }, `All: ${group.title.toLowerCase()}`)
        : null,
      chamber ? el("button", { type: "button", onclick: gauge }, "Screw a gauge in here") : null,
      sort === "part" || sort === "port" ? this._remove([`${sort}s`, name]) : null,
    );
  }

  _remove(path) {
    return el("button", { type: "button", onclick: () => this.acts.remove(path) }, `Take '${path.at(-1)}' out`);
  }

  _group({ title, about, names, kinds, ports, after }) {
    const go = (subject) => () => this.acts.go(subject);
    const add = (kind) => {
      const about_ =
        kind === "valve"
          ? "A valve with a file of its own: relief, lever valve, counterbalance ..."
          : this.kinds.get(kind)?.about;
      return el(
        "li",
        {},
        el("button", { type: "button", onclick: go({ sort: "add", name: kind, group: title }) }, `Add: ${kind}`),
        el("span", {}, about_ ?? ""),
      );
    };
    return [
      el("h2", {}, title),
      el("p", { class: "kind" }, about),
      names.length
        ? el(
            "div",
            { class: "offers" },
            ...names.map((name) =>
              el("button", { type: "button", onclick: go({ sort: ports ? "port" : "part", name }) }, name),
            ),
          )
        : el("p", {}, "Nothing here yet."),
      el(
        "ul",
        { class: "kinds" },
        ...kinds.map(add),
        ports
          ? el("li", {}, el("button", { type: "button", onclick: () => this.acts.addPort() }, "Add: port"))
          : null,
      ),
      after
        ? el("button", { type: "button", class: "main", onclick: go(after) }, `Next: ${after.title.toLowerCase()}`)
        : null,
    ];
  }

  /** What has no form, as it stands in the file. */
  _text(name) {
    const said = this.draft.text.split("\n");
    const from = said.findIndex((line) => line.startsWith(`${name}:`));
    const length = said.slice(from + 1).findIndex((line) => /^[^\s#]/.test(line));
    const lines = from < 0 ? ["nothing"] : said.slice(from, length < 0 ? undefined : from + 1 + length);
    return [
      el("h2", {}, capital(name)),
      el("p", { class: "kind" }, "This is written in the text; press 'Write' above the text."),
      el("pre", { tabindex: "0" }, lines.join("\n")),
    ];
  }

  _update(subject) {
    const value = this._values(subject);
    const base = JSON.stringify(this.pathOf(subject));
    const here = this.draft.problems.filter(({ path }) => JSON.stringify(path.slice(0, -1)) === base);
    for (const field of this.fields) {
      const key = field.spec.name;
      if (subject.sort === "add") field.show(this.local[key] ?? "", null);
      else
        field.show(
          String(value[key] ?? ""),
          told(
            here.find(({ path }) => path.at(-1) === key),
            [subject.name, key],
          ),
        );
    }
    const wrong = this.fields.find(
      ({ control }) => control.getAttribute("aria-invalid") === "true" && control.closest("details"),
    );
    wrong?.element.closest("details").setAttribute("open", "");
  }

  /** Path of keys of a subject. */
  pathOf({ sort, name }) {
    if (sort === "part" || sort === "port") return [`${sort}s`, name];
    return sort === "head" ? ({ oil: ["oil"], point: ["operating point"] }[name] ?? []) : ["?"];
  }

  _values(subject) {
    if (subject.sort === "add") return this.local;
    return this.pathOf(subject).reduce((block, key) => block?.[key], this.draft.tree) ?? {};
  }

  async _set(subject, key, value) {
    const field = this.fields.find(({ spec }) => spec.name === key);
    if (subject.sort === "add") {
      field.value = this.local[key] = value;
      if (key === "valve") this.acts.go(subject);
      else field.show(value, null);
      return;
    }
    const path = [...this.pathOf(subject), key];
    try {
      await (value ? this.acts.set(path, value) : this.acts.remove(path, true));
    } catch (error) {
      field.refuse(error.problem ?? { what: String(error) });
    }
  }

  _names({ sort, choices }) {
    const { tree } = this.draft;
    if (sort === "choice") return choices;
    return sort === "port" ? chambers(tree) : named(tree.parts, choices);
  }

  _kindOf(name) {
    const { kind, valve } = this.draft.tree.parts?.[name] ?? {};
    return capital(kind === "valve" ? `valve: ${valve ?? ""}` : (kind ?? ""));
  }

  /** A name that no part has yet. */
  _free(wanted) {
    const taken = this.draft.tree.parts ?? {};
    for (let number = 1; ; number += 1) {
      const name = number > 1 ? `${wanted} ${number}` : wanted;
      if (!(name in taken)) return name;
    }
  }
}

/** A problem without the names that its field has already. */
function told(problem, names) {
  if (!problem) return null;
  const what = names.reduce(
    (said, name) => (said.startsWith(`${name}: `) ? said.slice(name.length + 2) : said),
    problem.what,
  );
  return { ...problem, what: capital(what) };
}

function headTitle(name) {
  return { oil: "Oil", point: "Operating point", machine: "Name", valve: "Name, adjuster and setting" }[name];
}
