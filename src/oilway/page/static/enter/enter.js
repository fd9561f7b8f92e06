// Answers of a class from paper, with the keyboard alone.  Whatever leaves a line is in its file at once; what it is
// worth comes from the server as it is typed.

import { capital, el, fill, settled } from "../dom.js";
import { Picker } from "./picker.js";
import { Row, plain } from "./row.js";
import { EnterSource } from "./source.js";

const $ = (id) => document.getElementById(id);
const PAUSE = 120; // ms without a key before what is typed is looked at
const LOOK = 700; // ms between two looks at how many keys are solved
const AWAY = "Not written: Oilway cannot be reached. What you typed is still here; press Enter once it runs again.";
const PASSES = {
  paper: ["answers and reasoning", ["answers", "reasoning"]],
  answers: ["answers", ["answers"]],
  reasoning: ["marks for reasoning", ["reasoning"]],
  practical: ["the practical", ["practical"]],
  all: ["everything", ["answers", "reasoning", "practical"]],
};

export class Enter {
  constructor() {
    this.source = new EnterSource();
    this.state = null;
    this.rows = [];
    this.row = null; // the line last typed in
    this.sending = Promise.resolve();
    this.picker = new Picker((id) => this.choose(id), (code) => this._coded(code));
    this.picker.words = (student) => this._far(student);
    this.check = settled(PAUSE, (row) => this._check(row));
    const passes = Object.entries(PASSES).map(([value, [words]]) => el("option", { value }, words));
    fill($("pass"), ...passes);
    $("pass").addEventListener("change", () => this._otherPass());
    $("back").addEventListener("click", () => this._step(this.row, -1));
    $("next").addEventListener("click", () => (this.row ? this._give(this.row) : this.picker.ask(this._following())));
    $("set").addEventListener("click", () => this._override(this.row));
    document.addEventListener("visibilitychange", () => document.hidden || this._refresh());
  }

  async open() {
    try {
      this._take(await this.source.state());
    } catch (error) {
      this.picker.tell(words(error));
      return;
    }
    this._ahead();
    this.picker.ask(this._following());
  }

  get groups() {
    return PASSES[$("pass").value][1];
  }

  // -- who ---------------------------------------------------------------------------------------------------
  async choose(id) {
    await this.sending;
    if (this._backToUnwritten()) return;
    $("sheet").setAttribute("aria-busy", "true");
    this.picker.tell("");
    $("ahead").textContent = "solving this sheet";
    try {
      this._take(await this.source.state(id));
    } catch (error) {
      this._ready(this.state.keys);
      this.picker.tell(words(error));
      return;
    } finally {
      $("sheet").removeAttribute("aria-busy");
    }
    this.picker.show(this.state.sheet);
    this._lay();
    (this.rows.find(({ field }) => !field.value) ?? this.rows[0])?.input.focus();
  }

  async _coded(code) {
    try {
      await this.choose((await this.source.find(code)).student);
    } catch (error) {
      this.picker.tell(words(error));
    }
  }

  /** The student after this one who is not done yet. */
  _following() {
    const { students, sheet } = this.state;
    const from = students.findIndex(({ id }) => id === sheet?.id) + 1;
    const turned = [...students.slice(from), ...students.slice(0, from)];
    return (turned.find((student) => !this._done(student)) ?? turned[0])?.id;
  }

  _counts({ entered }) {
    const sum = (of) => this.groups.reduce((all, group) => all + (of[group] ?? 0), 0);
    return [sum(entered), sum(this.state.asked)];
  }

  _done(student) {
    const [entered, asked] = this._counts(student);
    return asked > 0 && entered >= asked;
  }

  _far(student) {
    const [entered, asked] = this._counts(student);
    if (!entered) return "missing";
    return this._done(student) ? "done" : `${entered}${asked ? ` of ${asked}` : " entered"}`;
  }

  // -- the sheet ---------------------------------------------------------------------------------------------
  _lay() {
    const { sheet } = this.state;
    const does = {
      entered: (row) => this._entered(row),
      typed: (row) => ((row.problem = ""), this.check(row)),
      key: (row, event) => this._key(row, event),
      left: (row) => this._left(row),
      pick: (row) => this.check(row),
    };
    const fields = sheet.fields.filter(({ group }) => this.groups.includes(group));
    this.rows = fields.map((field, k) => new Row(field, k, does));
    this.row = null;
    const blocks = [];
    for (const row of this.rows) {
      const ask = row.field.group === "practical" ? "The practical" : `${row.field.number}. ${row.field.ask}`;
      if (blocks.at(-1)?.ask !== ask) blocks.push({ ask, rows: [] });
      blocks.at(-1).rows.push(row);
    }
    const block = ({ ask, rows }) =>
      el("li", { class: "question" }, el("p", { class: "ask" }, ask), el("ul", {}, ...rows.map(({ element }) => element)));
    fill(
      $("sheet"),
      el(
        "h2",
        {},
        `Variant ${sheet.code} `,
        el("span", { id: "total" }),
      ),
      el("p", { id: "unwritten", class: "refused", role: "alert" }),
      el("ol", { class: "questions" }, ...blocks.map(block)),
      this.rows.length ? null : el("p", {}, "Nothing of this is asked on the sheet."),
      el("p", { id: "practical" }),
      el("ul", { id: "problems", class: "refused" }),
    );
    this._totals();
  }

  _totals() {
    const { sheet } = this.state;
    $("total").textContent = `${plain(sheet.total)} of ${plain(sheet.most)} marks so far`;
    const unwritten = this.rows.filter(({ problem }) => problem).map(({ field }) => field.label);
    $("unwritten").textContent = unwritten.length ? `Not written: ${unwritten.join(", ")}` : "";
    $("practical").textContent = sheet.practical ? `Practical: ${sheet.practical}` : "";
    fill($("problems"), ...[...sheet.problems, ...this.state.problems].map((text) => el("li", {}, text)));
  }

  _entered(row) {
    if (this.row !== row) this.row?.open(false);
    this.row = row;
    row.open(true);
    row.element.scrollIntoView({ block: "nearest" });
    $("set").disabled = row.field.group !== "answers";
  }

  async _check(row) {
    const typed = row.input.value.trim();
    if (row.problem || row.sent !== null) return; // it is on its way, or has come back
    if (!row.dirty || !typed) {
      row.take(row.field);
      return;
    }
    const { sheet } = this.state;
    const same = () => row.input.value.trim() === typed && row.dirty && row.sent === null && !row.problem;
    try {
      const told = await this.source.check(sheet.id, row.field.name, typed);
      if (told && same()) row.tell(told.mark, told.problem ? problemWords(told.problem) : "");
    } catch {
      // Oilway is away: it is told when the answer is given
    }
  }

  _key(row, event) {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    const does = {
      Enter: () => this._give(row),
      ArrowDown: () => this._step(row, 1),
      ArrowUp: () => this._step(row, -1),
      Escape: () => this._escape(row),
      "!": () => this._override(row),
    }[event.key];
    if (!does) return;
    event.preventDefault();
    does();
  }

  /** Enter: an empty answer is one left blank, and so is written; marks for reasoning stay open. */
  _give(row) {
    if (row.field.group === "answers" && !row.input.value.trim()) row.input.value = "-";
    this._step(row, 1);
  }

  async _step(row, by) {
    const at = this.rows.indexOf(row) + by;
    if (at < 0) {
      this._left(row);
      this.picker.ask(this.state.sheet?.id);
    } else if (at < this.rows.length) this.rows[at].input.focus();
    else await this._end(row);
  }

  /** Behind the last line: back to what could not be written, or on to the next student. */
  async _end(row) {
    this._left(row);
    await this.sending;
    if (!this._backToUnwritten()) this.picker.ask(this._following());
  }

  _backToUnwritten() {
    const row = this.rows.find(({ problem }) => problem);
    row?.input.focus();
    return row !== undefined;
  }

  _escape(row) {
    if (!row.dirty) {
      this.picker.ask(this.state.sheet.id);
      return;
    }
    row.problem = "";
    row.input.value = row.field.value;
    row.take(row.field);
    row.input.select();
    this._totals();
  }

  // -- writing -----------------------------------------------------------------------------------------------
  /** A line is left: what is new in it is written, one line after the other. */
  _left(row) {
    const typed = row.input.value.trim();
    if (!row.dirty || row.sent === typed) return;
    row.sent = typed;
    const { id } = this.state.sheet;
    this._queue(row, () => this.source.put(id, row.field.name, typed, this.state.was));
  }

  /** Answers go one after the other; resolves to what kept this one from being written, in words. */
  _queue(row, ask, refused = (error) => this._refused(row, error)) {
    this.sending = this.sending.then(async () => {
      try {
        this._take(await ask());
      } catch (error) {
        row.sent = null;
        return refused(error);
      }
      const written = row.sent;
      row.sent = null;
      row.problem = "";
      this._show(row, written);
      return "";
    });
    return this.sending;
  }

  /** Every line as the files have it now: one answer may change what others are worth. */
  _show(row, written) {
    const now = new Map(this.state.sheet.fields.map((field) => [field.name, field]));
    for (const each of this.rows) {
      const field = now.get(each.field.name);
      if (each === row && each.input.value.trim() === written) each.input.value = field.value;
      each.take(field);
    }
    this._totals();
  }

  async _refused(row, error) {
    row.problem = words(error);
    await this._again(error);
    row.tell(null, row.problem);
    this._totals(); // where something else is being typed already it goes on; the end of the sheet leads back
    return row.problem;
  }

  /** A file was changed meanwhile: it is shown anew, and what has been typed stays. */
  async _again(error) {
    if (!error.problem?.what.includes("meanwhile")) return;
    this._take(await this.source.state(this.state.sheet.id));
    this._show();
  }

  _override(row) {
    if (row?.field.group !== "answers") return;
    this._left(row);
    const refused = async (error) => {
      await this._again(error);
      return words(error);
    };
    row.override((of, marks, reason) => {
      const item = of.field.name.replace("item/", "");
      const ask = () => this.source.override(this.state.sheet.id, item, marks, reason, this.state.was);
      return this._queue(of, ask, refused);
    });
  }

  // -- the class ---------------------------------------------------------------------------------------------
  _take(state) {
    this.state = state;
    $("title").textContent = state.title;
    document.title = `${state.title}: enter answers - Oilway`;
    const practical = "practical" in state.asked ? state.asked.practical > 0 : true;
    for (const option of $("pass").options) option.hidden = !practical && ["practical", "all"].includes(option.value);
    this.picker.students = state.students;
    this._ready(state.keys);
    this._class();
  }

  _class() {
    const { students, command, files, sheet } = this.state;
    const done = students.filter((student) => this._done(student)).length;
    const missing = students.filter((student) => !this._counts(student)[0]).length;
    const begun = students.length - done - missing;
    const line = (student) =>
      el(
        "tr",
        { class: student.id === sheet?.id ? "now" : null },
        el("th", { scope: "row" }, student.name || student.id),
        el("td", {}, student.name ? student.id : ""),
        el("td", { "data-far": this._done(student) ? "done" : "" }, this._far(student)),
      );
    fill(
      $("class"),
      el("h2", {}, `${done} of ${students.length} done`),
      el("p", {}, `${begun} begun, ${missing} missing (${PASSES[$("pass").value][0]})`),
      el("table", {}, el("tbody", {}, ...students.map(line))),
      el("p", { class: "quiet" }, `Written at once into ${Object.values(files).join(", ")}. The gradebook is made by`),
      el("p", {}, el("code", {}, command)),
    );
  }

  _ready({ ready, of }) {
    $("ahead").textContent = ready < of ? `keys solved: ${ready} of ${of}` : "";
  }

  async _ahead() {
    const keys = await this.source.ahead().catch(() => null);
    if (keys) this._ready(keys);
    if (!keys || keys.ready < keys.of) setTimeout(() => this._ahead(), LOOK);
    else if (!Object.keys(this.state.asked).length) await this._refresh();
  }

  _otherPass() {
    this._class();
    if (!this.state.sheet) return;
    this._lay();
    (this.rows.find(({ field }) => !field.value) ?? this.rows[0])?.input.focus();
  }

  /** The files may have changed while this page was away. */
  async _refresh() {
    if (!this.state || this.rows.some((row) => row.dirty)) return;
    await this.sending;
    try {
      this._take(await this.source.state(this.state.sheet?.id ?? ""));
      if (this.state.sheet) this._show();
    } catch {
      // Oilway is away: it is told when an answer is given
    }
  }
}

function words(error) {
  return error.problem ? capital(problemWords(error.problem)) : AWAY;
}

function problemWords({ what, hint }) {
  return hint ? `${what} (${hint})` : what;
}
