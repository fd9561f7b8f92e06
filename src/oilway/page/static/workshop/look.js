// The picture of what is written so far, painted with the numbers of its own operating point.

import { capital, el, fill } from "../dom.js";
import { PictureView } from "../picture.js";
import { Scale } from "../scale.js";
import { Display } from "../session.js";
import { Units } from "../units.js";
import { problemList } from "./dialogs.js";

/** `touched(name)`: a part of the picture; `go(problem)`: to the field of a problem. */
export class LookView {
  constructor({ picture, which, wrong }, source, { touched, go, came }) {
    Object.assign(this, { which, wrong, source, go, came });
    this.view = new PictureView(picture, { touched });
    this.clear();
    which.addEventListener("change", () => {
      this.chosen = this.shown.pictures.find(({ key }) => key === which.value).name;
      this._choose(which.value);
    });
  }

  /** Ask for the pictures of a text and show them; the problems of the text are told at once.
   *
   * The last good picture stays, greyed, unless one without numbers has more in it. */
  async show({ text, problems, tree: { parts = {} } }) {
    this.text = text;
    this.answer = null;
    this._words(problems);
    this.view.grey(true);
    const answer = await this.source
      .look(text)
      .catch((error) => ({ pictures: [], problem: { what: String(error) }, "left out": [] }));
    if (!answer || text !== this.text) return; // a newer text is being solved
    this.answer = answer;
    const drawn = Object.keys(parts).filter((name) => !answer["left out"].includes(name));
    if (answer.pictures.length && (answer.frame || drawn.some((name) => !this.drawn.includes(name)))) {
      this.shown = answer;
      this.drawn = drawn;
      this.display = new Display(new Units(answer.units));
      this.came({ handles: answer.handles, units: this.display.units });
      fill(this.which, ...answer.pictures.map(({ key, name }) => el("option", { value: key }, capital(name))));
      this._choose((answer.pictures.find(({ name }) => name === this.chosen) ?? answer.pictures[0]).key);
    }
    this._words(problems);
    if (!answer.frame)
      this.view.say(
        problems
          .filter(({ path }) => path[0] === "parts")
          .map((each) => [each.path[1], each.what])
          .slice(0, 2),
      );
  }

  /** Begin anew with another file: nothing of the last one is kept. */
  clear() {
    this.chosen = "";
    this.drawn = [];
  }

  _choose(key) {
    const found = this.shown.pictures.find((each) => each.key === key);
    this.which.value = key;
    this.view.show(found);
    const { frame, channels, scale } = this.shown;
    this.view.grey(!this.answer?.frame);
    if (!frame) return;
    const values = new Map(channels.map((channel, i) => [channel.name, frame.values[i]]));
    this.view.paint(values, frame.statuses, this.display.how(new Scale(scale)));
    this.view.say(this.answer?.frame ? frame.findings : []);
  }

  _words(problems) {
    const { problem, "left out": without = [], frame } = this.answer ?? {};
    const left = without.filter((name) => !this.drawn.includes(name));
    const told =
      problem && !problems.length
        ? [{ line: 0, path: problem.part ? ["parts", problem.part] : [], ...problem }]
        : problems;
    problemList(this.wrong, told, this.go);
    const findings = (!problems.length && frame?.findings) || [];
    this.wrong.append(
      ...(told.length && left.length ? [el("p", {}, `Not in the picture yet: ${left.join(", ")}`)] : []),
      ...findings.map(([, text]) => el("p", { class: "finding" }, text)),
    );
    const fine = this.answer ? "Everything in this file can be read and solved." : "It is being solved ...";
    if (!told.length && !findings.length) this.wrong.append(el("p", {}, fine));
  }
}
