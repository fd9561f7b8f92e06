// The list of what is in the file, grouped in the order one describes it in.

import { capital, el, fill } from "../dom.js";
import { groupsOf, headsOf } from "./groups.js";

/** `go(subject)` is called when something is chosen. */
export class ListView {
  constructor(host, { go }) {
    this.host = host;
    this.go = go;
  }

  show(tree, isValve, problems, chosen) {
    const wrong = new Set(problems.map(({ path }) => JSON.stringify(path.slice(0, 2))));
    const key = (subject) => `${subject.sort} ${subject.name ?? subject.title}`;
    const button = (subject, text, { mark = "", bad = false, title = "" } = {}) => {
      const current = key(subject) === key(chosen) || (chosen.sort === "add" && subject.title === chosen.group);
      const made = el(
        "button",
        {
          type: "button",
          "data-subject": key(subject),
          "aria-current": current && "true",
          title: title || null,
          onclick: () => this.go(subject),
        },
        mark ? el("span", { class: "number" }, mark) : null,
        text,
      );
      if (bad) made.append(el("span", { class: "bad" }, " to mend"));
      return made;
    };
    const bad = (...path) => wrong.has(JSON.stringify(path));
    const heads = headsOf(tree, isValve).map(({ title, path, head }) =>
      el(
        "li",
        {},
        button(head ? { sort: "head", name: head } : { sort: "text", name: path[0] }, capital(title), {
          bad: [...wrong].some((said) => JSON.parse(said)[0] === path[0]),
        }),
      ),
    );
    const groups = groupsOf(tree, isValve).map((group, i) => {
      const { title, names, ports, head } = group;
      const step = isValve && !group.last ? String(i + 1) : "";
      const subject = head ? { sort: "head", name: head } : { sort: "group", title };
      const done = head ? Boolean(tree.setting || tree.adjuster) : names.length > 0;
      const mine = names.map((name) =>
        el(
          "li",
          {},
          button({ sort: ports ? "port" : "part", name }, name, { bad: bad(ports ? "ports" : "parts", name) }),
        ),
      );
      const valveHead =
        head && ["valve", "adjuster", "setting", "acts as", "rated flow", "note"].some((word) => bad(word));
      const top = button(subject, title, { mark: step && (done ? `${step} \u2713` : step), bad: valveHead });
      top.classList.add("group");
      return el("li", {}, top, names.length ? el("ul", {}, ...mine) : null);
    });
    const focused = document.activeElement?.dataset?.subject;
    fill(this.host, el("ul", {}, ...(isValve ? [...groups, ...heads] : [...heads, ...groups])));
    if (focused)
      [...this.host.querySelectorAll("button")].find((each) => each.dataset.subject === focused)?.focus();
  }
}
