// The setting plan of the open file, one step at a time.  Every word and number is the server's.

import { capital, el, fill } from "../dom.js";
import { ServerSource } from "../source.js";

const $ = (id) => document.getElementById(id);
const WAYS = {
  cracking: "at cracking",
  idle: "at idle",
  cold: "in cold oil",
  "back-pressure": "with back-pressure",
  falling: "coming down",
  "no flow": "with nothing drawn",
};

class PlanSource extends ServerSource {
  steps(query) {
    return this._get(`/api/plan?${query}`);
  }
}

export class Plan {
  constructor() {
    this.source = new PlanSource();
    this.at = 0;
    this.units = sessionStorage.getItem("oilway-units") ?? "shop";
    this.rated = "";
    $("units").addEventListener("click", () => this._otherUnits());
    document.addEventListener("keydown", (event) => this._key(event));
    this.source.listen({ changed: () => this.open(), broken() {}, lost() {}, found() {}, desk() {} });
  }

  get query() {
    return new URLSearchParams({ units: this.units, rated: this.rated });
  }

  async open() {
    $("wait").hidden = false;
    $("units").textContent = this.units === "shop" ? "in bar" : "in psi";
    try {
      this.plan = await this.source.steps(this.query);
    } catch (error) {
      this.plan = { title: "", problems: [{ file: "", line: 0, what: error.message, hint: "" }] };
    }
    $("wait").hidden = true;
    $("title").textContent = `Setting plan: ${this.plan.title}`;
    document.title = `${this.plan.title}: setting plan - Oilway`;
    const refused = Boolean(this.plan.problems);
    $("print").hidden = $("way").hidden = refused;
    $("print").href = `/api/plan.pdf?${this.query}`;
    if (refused) this._refused(this.plan.problems);
    else this.go(Math.min(this.at, this.plan.steps.length));
  }

  /** Step `at`; 0 is what comes before the first. */
  go(at) {
    const { steps } = this.plan;
    if (at < 0 || at > steps.length) return;
    this.at = at;
    fill($("step"), ...(at ? this._step(steps[at - 1], at) : this._before()));
    const way = (text, to) =>
      el("button", { type: "button", disabled: to < 0 || to > steps.length, onclick: () => this._turn(to) }, text);
    fill($("way"), way("Back", at - 1), el("span", {}, `${at} of ${steps.length}`), way("Next", at + 1));
    $("way").lastChild.classList.add("main");
  }

  _turn(to) {
    this.go(to);
    $("step").closest("main").scrollTop = 0;
    $("step").focus({ preventScroll: true });
  }

  _before() {
    const { once, preparation, notes, findings } = this.plan;
    return [
      el("h2", {}, "Before the first step"),
      el("p", { class: "caution" }, once),
      this._ticks("before", preparation),
      ...findings.map((text) => el("p", { class: "caution" }, `Limit: ${text}`)),
      ...notes.map((text) => el("p", {}, `Note: ${text}`)),
    ];
  }

  _step(step, number) {
    const place = step.where === "bench" ? "on the bench" : "in the machine";
    return [
      el("h2", {}, `${number}. ${capital(step.control)}, ${place}`),
      this._expected(step),
      el("p", {}, `Why here: ${step.why}`),
      el("div", {}, ...step.cautions.map((text) => el("p", { class: "caution" }, `Caution: ${text}`))),
      this._ticks(step.control, step.do),
      step["set wrongly"].length ? this._wrong(step["set wrongly"]) : null,
      ...step["port relief below"].map(({ said }) => el("p", {}, capital(said))),
    ];
  }

  _expected(step) {
    const reading = step["in the machine"];
    const told = [["Setting", step.setting.said]];
    if (step["at flow"]) told.push(["at", step["at flow"].said]);
    if (step.opens) told.push(["Begins to open at", step.opens.said]);
    if (reading?.["shows its setting"]) told.push(["Gauge shows in the machine", reading.pressure.said]);
    return el("dl", { class: "expected" }, ...told.map(([k, v]) => el("div", {}, el("dt", {}, k), el("dd", {}, v))));
  }

  _wrong(ways) {
    const cell = (text, kind = "") => el("td", { class: kind }, text);
    return el(
      "table",
      {},
      el("caption", {}, "If set wrongly, it reads"),
      el("thead", {}, el("tr", {}, ...["set", "reads", "that is"].map((text) => el("th", { scope: "col" }, text)))),
      el(
        "tbody",
        {},
        ...ways.map(({ how, reads, said }) =>
          el(
            "tr",
            {},
            el("th", { scope: "row" }, WAYS[how] ?? how),
            cell(reads?.said ?? "not reached", "number"),
            cell(said),
          ),
        ),
      ),
    );
  }

  /** Lines with a box each; what is ticked is kept by its words, so that a changed line is to be done anew. */
  _ticks(owner, lines) {
    const box = (text) => {
      const key = `oilway-plan: ${this.plan.file}: ${owner}: ${text}`;
      const input = el("input", { type: "checkbox" });
      input.checked = sessionStorage.getItem(key) === "done";
      input.addEventListener("change", () => {
        if (input.checked) sessionStorage.setItem(key, "done");
        else sessionStorage.removeItem(key);
      });
      return el("label", { class: "tick" }, input, el("span", {}, text));
    };
    return el("div", {}, ...lines.map(box));
  }

  _refused(problems) {
    const line = ({ file, line, what, hint }) => {
      const where = line ? `${file}:${line}: ` : "";
      return el("li", {}, el("strong", {}, where), what, hint ? el("p", {}, `To mend it: ${hint}`) : null);
    };
    const alone = problems.some(({ hint }) => hint.includes("--rated"));
    const heading = el("h2", { tabindex: "-1" }, "No setting is planned");
    fill($("step"), heading, el("ul", { class: "wrong-file" }, ...problems.map(line)), this._ask(alone));
  }

  _ask(alone) {
    if (!alone && !this.rated) return null;
    const input = el("input", { type: "text", id: "rated", value: this.rated, placeholder: "3500 psi" });
    const said = el("label", { for: "rated" }, "Its rated pressure, the maker's");
    const form = el("form", { class: "asks" }, said, input, el("button", { class: "main" }, "Plan it"));
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.rated = input.value.trim();
      this.open();
    });
    return form;
  }

  _otherUnits() {
    this.units = this.units === "shop" ? "metric" : "shop";
    sessionStorage.setItem("oilway-units", this.units);
    this.open();
  }

  _key(event) {
    if (!this.plan?.steps || event.target.matches("input[type=text]") || event.ctrlKey || event.altKey) return;
    const to = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (!to || this.at + to < 0 || this.at + to > this.plan.steps.length) return;
    event.preventDefault();
    this._turn(this.at + to);
  }
}
