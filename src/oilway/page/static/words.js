// What a state says in words: the regime of each valve, what is amiss, what could not be solved.

import { capital, el, fill } from "./dom.js";

/** The words under the picture. */
export class Words {
  constructor(host) {
    this.regimes = el("div", { class: "regimes", "aria-live": "polite" });
    this.findings = el("ul", { class: "findings", "aria-label": "What to look at" });
    fill(host, this.findings, this.regimes);
  }

  /** `first`: the valve whose cutaway is shown, which alone speaks then; `side`: a heading. */
  show({ words, findings, problem }, { first = "", hidden = false, side = "" }) {
    const key = JSON.stringify([words, findings, problem, first, hidden, side]);
    if (key === this.written) return; // what stays is not read out again
    this.written = key;
    const all = Object.entries(hidden ? {} : words);
    const own = all.filter(([valve]) => valve === first || valve.startsWith(`${first}.`));
    const entries = first && own.length ? own : all;
    const lines = entries.map(([valve, text]) => el("p", {}, el("b", {}, capital(valve)), " ", text));
    fill(this.regimes, side ? el("h2", {}, side) : null, ...lines);
    const amiss = hidden ? [] : findings.map(([, text]) => el("li", {}, text));
    if (problem) amiss.unshift(el("li", { class: "problem" }, problemText(problem)));
    fill(this.findings, ...amiss);
  }
}

/** A problem in one line. */
export function problemText({ what, hint }) {
  return [what, hint].filter(Boolean).join(". ");
}
