// What the readings prove so far: verdict, figures with their uncertainty, and what is odd, in the server's words.

import { capital, el } from "../dom.js";

/** Things to look at again, each where it stands. */
export function oddList(odd) {
  const line = ({ sort, where, said }) =>
    el("li", { class: sort }, el("strong", {}, `${capital(sort)}: `), `${said} (${where})`);
  return el("ul", { class: "odd" }, ...odd.map(line));
}

/** Everything found, for the panel beside the prompt. */
export function foundWords({ proof, problems, odd, chart, was }, source) {
  if (!proof) {
    const missing = problems.map(({ what, hint }) => el("li", {}, hint ? `${what} (${hint})` : what));
    return [
      el("h2", {}, "Nothing proven yet"),
      odd.length ? oddList(odd) : null,
      el("h3", {}, "Still missing"),
      el("ul", {}, ...missing),
    ];
  }
  const section = proof.sections[proof["judged section"]];
  return [
    el("p", { class: "verdict", "data-verdict": proof.verdict }, verdictWord(proof.verdict)),
    odd.length ? oddList(odd) : null,
    figures(proof["judged section"], section.figures, proof.judged),
    chart ? el("img", { src: source.address("chart.svg", was), alt: "The readings as a curve" }) : null,
    reasons(proof.judged),
    conditions(proof.conditions),
    ...proof.advice.map((text) => el("p", { class: "quiet" }, `Advice: ${text}`)),
    ...proof.assumed.map((text) => el("p", { class: "quiet" }, `Note: ${text}`)),
  ];
}

/** The verdict as it is said. */
export function verdictWord(verdict) {
  return verdict.toUpperCase();
}

function table(caption, heads, rows) {
  const head = el("thead", {}, el("tr", {}, ...heads.map((text) => el("th", { scope: "col" }, text))));
  return el("table", {}, el("caption", {}, caption), head, el("tbody", {}, ...rows));
}

function figures(name, found, judged) {
  const rows = Object.entries(found).map(([figure, { shown, "uncertainty shown": doubt, "not counted": missing }]) => {
    const verdict = judged[figure]?.verdict;
    return el(
      "tr",
      { "data-figure": figure },
      el("th", { scope: "row" }, capital(figure)),
      el(
        "td",
        {},
        el("span", { class: "number" }, shown),
        " ",
        el("span", { class: "doubt" }, `± ${doubt}`),
        missing.length ? " and more" : "",
      ),
      el("td", {}, verdict ? el("span", { "data-verdict": verdict }, verdictWord(verdict)) : ""),
    );
  });
  return rows.length
    ? table(`Figures ${name}`, ["figure", "value ± U", "verdict"], rows)
    : el("p", {}, "No figure yet: it takes more readings.");
}

/** Why each limit is kept, broken or open, and what would prove it. */
export function reasons(judged) {
  const one = ([figure, { verdict, reason, "what would prove it": remedies }]) =>
    el(
      "li",
      {},
      el("strong", { "data-verdict": verdict }, `${capital(figure)}: ${verdictWord(verdict)}`),
      el("p", {}, capital(reason)),
      ...remedies.map((text) => el("p", {}, `To prove it: ${text}`)),
    );
  return el("div", {}, el("h3", {}, "Against the limits"), el("ul", {}, ...Object.entries(judged).map(one)));
}

function conditions(found) {
  const rows = found.map(({ name, state, said, remedy }) => {
    const told = state === "met" || !remedy ? said : `${said}. ${remedy}`;
    return el("tr", {}, el("th", { scope: "row" }, capital(name)), el("td", {}, state), el("td", {}, told));
  });
  return rows.length ? table("Conditions", ["condition", "state", "found"], rows) : null;
}
