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
    which.addEventListener("change", () => this._choose(which.value));
  }

  /** Ask for the pictures of a text and show them; the problems of the text are told at once. */
  async show(text, problems) {
    this.problems = problems;
    this._words(problems);
    this.view.grey(true);
    const answer = await this.source.look(text).catch((error) => ({ pictures: [], problem: { what: String(error) }, "left out": [] }));
    if (!answer) return;
    this.answer = answer;
    if (answer.pictures.length) {
      this.display = new Display(new Units(answer.units));
      this.came({ handles: answer.handles, units: this.display.units });
      fill(this.which, ...answer.pictures.map(({ key, name }) => el("option", { value: key }, capital(name))));
      const kept = answer.pictures.find(({ name }) => name === this.chosen) ?? answer.pictures[0];
      this._choose(kept.key);
    }
    this._words(problems);
  }

  _choose(key) {
    const found = this.answer.pictures.find((each) => each.key === key);
    this.which.value = key;
    this.chosen = found.name;
    this.view.show(found);
    const { frame, channels, scale } = this.answer;
    this.view.grey(!frame);
    if (!frame) return;
    const values = new Map(channels.map((channel, i) => [channel.name, frame.values[i]]));
    this.view.paint(values, frame.statuses, this.display.how(new Scale(scale)));
    this.view.say(frame.findings);
  }

  _words(problems) {
    const { problem, "left out": left = [], frame } = this.answer ?? {};
    const told = problem && !problems.length ? [{ line: 0, path: problem.part ? ["parts", problem.part] : [], ...problem }] : problems;
    problemList(this.wrong, told, this.go);
    const findings = (!problems.length && frame?.findings) || [];
    this.wrong.append(
      ...(told.length && left.length ? [el("p", {}, `Not in the picture yet: ${left.join(", ")}`)] : []),
      ...findings.map(([, text]) => el("p", { class: "finding" }, text)));
    if (!told.length && !findings.length) this.wrong.append(el("p", {}, "Everything in this file can be read and solved."));
  }
}

