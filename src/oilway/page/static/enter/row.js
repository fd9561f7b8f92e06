// One line of a sheet: what is asked, what was written, and what it is worth.

import { capital, el, fill } from "../dom.js";

const SIGNS = {
  right: "✓", passed: "✓", "within its limit": "✓", marked: "✓", "half marks": "½", unit: "½", "set by you": "!",
  "to be marked": "…", "left blank": "–",
};
const HINTS = {
  number: (field) => `a number in ${field.unit}; another unit behind it, its beginning will do`,
  choice: () => "the letter or the digit of its place",
  order: (field) => `the ${field.choices.length} digits in the boxes, from top to bottom`,
  rubric: (field) => `marks from 0 to ${plain(field.most)}; empty is to be marked yet`,
  done: () => "y done, n not done",
  value: (field) => `what was measured${field.unit ? `, in ${field.unit}` : ""}`,
};

/** A number of marks in the fewest digits. */
export function plain(marks) {
  return String(Number(marks.toFixed(2)));
}

export class Row {
  /** `does`: {typed, key, left, pick, set} are called with this row as the instructor types. */
  constructor(field, number, does) {
    this.does = does;
    this.problem = ""; // why it could not be written
    this.sent = null; // what is on its way to the file
    const id = `row-${number}`;
    this.input = el("input", {
      type: "text", id, autocomplete: "off", autocapitalize: "none", spellcheck: "false", inputmode: this._mode(field),
      "aria-describedby": `${id}-verdict ${id}-said`,
      oninput: () => does.typed(this),
      onkeydown: (event) => does.key(this, event),
      onfocus: () => this._enter(),
      onblur: () => does.left(this),
    });
    this.verdict = el("p", { class: "verdict", id: `${id}-verdict` });
    this.said = el("p", { class: "said", id: `${id}-said` });
    this.more = el("div", { class: "more" });
    this.element = el(
      "li",
      { class: `row ${field.sort}`, "data-field": field.name },
      el("label", { for: id }, field.label, field.critical ? el("b", { class: "critical" }, " critical") : null),
      el("span", { class: "typed" }, this.input, el("span", { class: "unit" }, field.unit)),
      this.verdict,
      this.said,
      this.more,
    );
    this.take(field, true);
  }

  get dirty() {
    return this.input.value.trim() !== this.field.value;
  }

  /** Take what the files have; what is being typed stays. */
  take(field, fresh = false) {
    const own = this.problem || this.sent !== null || document.activeElement === this.input;
    const keep = !fresh && this.dirty && own;
    this.field = field;
    if (!keep) this.input.value = field.value;
    this.tell(field.value || field.mark.computed != null ? field.mark : null, this.problem);
  }

  /** Show a mark, or what is wrong with what is being typed. */
  tell(mark, problem = "") {
    const word = problem ? "" : (mark?.verdict ?? "");
    const marks = mark && this.field.sort !== "value" ? ` ${plain(mark.marks)} of ${plain(this.field.most)}` : "";
    this.verdict.textContent = word ? `${SIGNS[word] ?? "✗"} ${word}${marks}` : "";
    this.verdict.dataset.verdict = word;
    this.said.textContent = problem || this._comment(mark, word);
    this.said.classList.toggle("refused", problem !== "");
    this.input.setAttribute("aria-invalid", String(problem !== ""));
  }

  /** Show choices and keys of this line; only the line that is typed in does. */
  open(shown) {
    this.element.classList.toggle("now", shown);
    const { sort, choices } = this.field;
    const choice = (text, k) =>
      el("button", { type: "button", tabindex: "-1", onmousedown: (event) => this._pick(event, k) }, `${letter(k)}  ${text}`);
    const list =
      sort === "choice"
        ? el("div", { class: "choices" }, ...choices.map(choice))
        : sort === "order"
          ? el("ol", { class: "steps" }, ...choices.map((text) => el("li", {}, text)))
          : null;
    fill(this.more, ...(shown ? [el("p", { class: "quiet" }, HINTS[sort](this.field)), list] : []));
  }

  /** Marks set by the instructor, with a reason. */
  override(give) {
    const marks = el("input", { type: "text", inputmode: "decimal", size: "4", autocomplete: "off", "aria-label": "Marks" });
    const reason = el("input", { type: "text", autocomplete: "off", "aria-label": "Reason" });
    const wrong = el("p", { class: "refused", role: "alert" });
    const send = async (text) => {
      const problem = await give(this, text, reason.value);
      wrong.textContent = problem;
      if (!problem) this.input.focus();
    };
    const key = (event, then) => {
      if (event.key === "Escape") this.input.focus();
      else if (event.key === "Enter") then();
      else return;
      event.preventDefault();
      event.stopPropagation();
    };
    marks.addEventListener("keydown", (event) => key(event, () => reason.focus()));
    reason.addEventListener("keydown", (event) => key(event, () => send(marks.value)));
    const set = this.field.mark.computed != null;
    fill(
      this.more,
      el(
        "div",
        { class: "override" },
        el("span", {}, "Marks"), marks, el("span", {}, `of ${plain(this.field.most)}, because`), reason,
        el("button", { type: "button", onclick: () => send(marks.value) }, "Set"),
        set ? el("button", { type: "button", onclick: () => send("") }, "Take back") : null,
      ),
      wrong,
    );
    marks.focus();
    this.more.scrollIntoView({ block: "nearest" });
  }

  _enter() {
    this.input.select();
    this.does.entered(this);
  }

  _pick(event, k) {
    event.preventDefault();
    this.input.value = letter(k);
    this.does.pick(this);
  }

  _mode({ sort }) {
    return sort === "rubric" || sort === "order" ? "decimal" : "text";
  }

  _comment(mark, word) {
    if (!word) return "";
    const { sort, group } = this.field;
    if (group === "practical") return mark.key ? `Limit: ${mark.key}` : "";
    const key = mark.key && word !== "right" ? `Key: ${mark.key}${mark.counts ? ` (${mark.counts})` : ""}.` : "";
    const said = !mark.said || mark.said === word || sort === "rubric" ? "" : `${capital(mark.said)}. `;
    return (said + key).replace("..", ".");
  }
}

function letter(k) {
  return String.fromCharCode(97 + k);
}
