// The questions that the workshop asks in a dialog: where to begin, a name, where to save.

import { el, fill } from "../dom.js";
import { problemText } from "../words.js";

function dialog(title, ...children) {
  const box = el("dialog", { "aria-label": title, class: "asks" }, el("h2", {}, title), ...children);
  box.addEventListener("close", () => box.remove());
  document.body.append(box);
  box.showModal();
  return box;
}

/** Ask for one text; `act(text)` may refuse it by throwing.  Resolves to the text, or to "" when it was let be. */
export function askText(title, { label, value = "", done, about = "", act = async () => {} }) {
  return new Promise((resolve) => {
    let answer = "";
    const input = el("input", { type: "text", id: "asked", value, autocomplete: "off", required: true });
    const wrong = el("p", { class: "refused", role: "alert" });
    const form = el(
      "form",
      { method: "dialog" },
      el("label", { for: "asked" }, label),
      input,
      about ? el("p", { class: "about" }, about) : null,
      wrong,
      el(
        "div",
        { class: "buttons" },
        el("button", { class: "main" }, done),
        el("button", { type: "button", onclick: () => box.close() }, "Cancel"),
      ),
    );
    const box = dialog(title, form);
    input.select();
    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      const asked = input.value.trim();
      try {
        await act(asked);
      } catch (error) {
        wrong.textContent = error.problem ? problemText(error.problem) : String(error);
        return;
      }
      answer = asked;
      box.close();
    });
    box.addEventListener("close", () => resolve(answer));
  });
}

/** Ask where to begin: {title: [names]}.  Resolves to a name, or to "". */
export function askStart(offers) {
  return new Promise((resolve) => {
    let answer = "";
    const choose = (name) => {
      answer = name;
      box.close();
    };
    const groups = Object.entries(offers)
      .filter(([, names]) => names.length)
      .map(([title, names]) =>
        el(
          "section",
          {},
          el("h3", {}, title),
          el(
            "div",
            { class: "offers" },
            ...names.map((name) => el("button", { type: "button", onclick: () => choose(name) }, name)),
          ),
        ),
      );
    const close = el("button", { type: "button", onclick: () => box.close() }, "Cancel");
    const box = dialog("Begin with", ...groups, close);
    box.addEventListener("close", () => resolve(answer));
  });
}

/** A list of what is wrong, each leading to its field. */
export function problemList(host, problems, go) {
  const rows = problems.map((problem) =>
    el(
      "li",
      {},
      el(
        "button",
        { type: "button", onclick: () => go(problem) },
        problem.line ? `Line ${problem.line}: ${problemText(problem)}` : problemText(problem),
      ),
    ),
  );
  const said = problems.length === 1 ? "One thing to mend" : `${problems.length} things to mend`;
  fill(host, ...(problems.length ? [el("h2", {}, said), el("ul", {}, ...rows)] : []));
}
