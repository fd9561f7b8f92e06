// What a state says in words: the regime of each valve, what is amiss, what could not be solved.

import { capital, el, fill } from "./dom.js";

/** The words under the picture. */
export class Words {
  constructor(host) {
    this.regimes = el("div", { class: "regimes", "aria-live": "polite" });
    this.findings = el("ul", { class: "findings", "aria-label": "What to look at" });
    fill(host, this.findings, this.regimes);
  }

  /** `first`: the valve whose cutaway is shown, whose words come first; `named`: words of each side. */
  show({ words, findings, problem }, { first = "", hidden = false, side = "" }) {
    const entries = Object.entries(hidden ? {} : words).sort(([a], [b]) => (b === first) - (a === first));
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
