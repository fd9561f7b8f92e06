// The file as text: what has changed is marked, and it may be written by hand.

import { el, fill } from "../dom.js";

/** Numbers of the lines (from 1) of `now` that are not in `before`, by the longest common run of lines. */
export function changedLines(before, now) {
  const [a, b] = [before.split("\n"), now.split("\n")];
  const longest = Array.from({ length: a.length + 1 }, () => new Uint16Array(b.length + 1));
  for (let i = a.length - 1; i >= 0; i -= 1) {
    for (let j = b.length - 1; j >= 0; j -= 1) {
      longest[i][j] = a[i] === b[j] ? longest[i + 1][j + 1] + 1 : Math.max(longest[i + 1][j], longest[i][j + 1]);
    }
  }
  const changed = new Set();
  let i = 0;
  for (let j = 0; j < b.length; j += 1) {
    while (i < a.length && a[i] !== b[j] && longest[i + 1][j] >= longest[i][j + 1]) i += 1;
    if (i < a.length && a[i] === b[j]) i += 1;
    else changed.add(j + 1);
  }
  return changed;
}

/** The text pane; `write(text)` takes over what was typed. */
export class TextView {
  constructor(host, { write }) {
    this.lines = el("ol", { class: "lines", tabindex: "0", "aria-label": "Lines of the file" });
    this.area = el("textarea", {
      "aria-label": "Text of the file",
      spellcheck: "false",
      wrap: "off",
      hidden: true,
    });
    this.write = el("button", { type: "button", "aria-pressed": "false", onclick: () => this._toggle() }, "Write");
    this.area.addEventListener("change", () => write(this.area.value));
    fill(
      host,
      el(
        "header",
        {},
        el("h2", {}, "Text"),
        el("span", { class: "about" }, "changed lines are marked"),
        this.write,
      ),
      this.lines,
      this.area,
    );
  }

  show({ text, disk, name, problems }) {
    const changed = changedLines(disk[name]?.text ?? "", text);
    const wrong = new Set(problems.map(({ line }) => line));
    const rows = text
      .replace(/\n$/, "")
      .split("\n")
      .map((line, i) => {
        const row = el("li", {}, line);
        row.classList.toggle("changed", changed.has(i + 1));
        row.classList.toggle("wrong", wrong.has(i + 1));
        return row;
      });
    fill(this.lines, ...rows);
    if (this.area.value !== text && document.activeElement !== this.area) this.area.value = text;
    const newest = this.lines.querySelector(".changed");
    if (newest && this.last !== text) newest.scrollIntoView({ block: "nearest" });
    this.last = text;
  }

  _toggle() {
    const writing = this.area.hidden;
    this.area.hidden = !writing;
    this.lines.hidden = writing;
    this.write.setAttribute("aria-pressed", String(writing));
    if (writing) this.area.focus();
  }
}
