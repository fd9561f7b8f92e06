// The page as a whole: which view, which picture, and who is told when a new state comes.

import { Compare } from "./compare.js";
import { CurveView } from "./curve.js";
import { capital, el, fill } from "./dom.js";
import { Teller } from "./follow.js";
import { Handles } from "./handles.js";
import { helpDialog, listen } from "./keys.js";
import { drawLegend } from "./legend.js";
import { PartPanel } from "./part.js";
import { PictureView } from "./picture.js";
import { Scale } from "./scale.js";
import { Display, Session } from "./session.js";
import { Steps } from "./steps.js";
import { Time } from "./time.js";
import { Units } from "./units.js";
import { Words, problemText } from "./words.js";

const VIEWS = { picture: "Picture", curve: "Curve", two: "Two side by side", steps: "Steps", time: "Time" };
const TABS = { picture: "Picture", curve: "Curve", controls: "Controls", more: "More" }; // of a phone
const SWITCHES = {
  units: ["psi / bar", "U"],
  quiet: ["Numbers", "N"],
  frozen: ["Freeze", "F"],
  big: ["Big", "B"],
  hatched: ["Hatch", "P"],
};
const BY_KEY = { u: "units", n: "quiet", f: "frozen", b: "big", p: "hatched" };
const MOST_PROBLEMS = 3; // of a broken file, that are told at once
const $ = (id) => document.getElementById(id);

/** The whole page; `source` as source.js says. */
export class App {
  constructor(source) {
    this.source = source;
    this.session = new Session(source);
    this.view = "picture";
  }

  /** Load the scene and put everything up. */
  async open() {
    let scene;
    try {
      scene = await this.source.scene();
    } catch (error) {
      this._banner(error.message);
      return;
    }
    this._build(scene);
    this.session.take(scene);
    this.source.listen?.({
      changed: () => this._reload(),
      broken: (problem) => this._broken(problem),
      lost: () => this._lost(true),
      found: () => this._lost(false),
      desk: (what) => this.teller?.act(what),
    });
  }

  _build(scene) {
    const { session } = this;
    this.display = new Display(new Units(scene.units));
    if (scene.class) this.teller = new Teller(this);
    const touched = (side) => (part) => this.ask(part, side);
    this.pictures = {
      a: new PictureView($("picture-a"), { touched: touched("a") }),
      b: new PictureView($("picture-b"), { prefix: "b-", touched: touched("b") }),
    };
    this.words = { a: new Words($("words")), b: new Words($("words-b")) };
    this.curve = new CurveView($("curve"), this.display);
    this.panel = new PartPanel($("part"), { closed: () => this.ask(null) });
    const changed = (what) => this._sideChanged(what);
    this.compare = new Compare($("compare-bar"), session, this.display, { changed });
    this.steps = new Steps($("steps-card"), session, this.display, { changed: () => this.render() });
    this.time = new Time($("time-panel"), $("transport"), session, this.display, { changed: () => this.render() });
    session.addEventListener("scene", () => this._sceneChanged());
    this.handles = new Handles($("sliders"), session, this.display);
    for (const what of ["frame", "problem"]) session.addEventListener(what, () => this.render());
    session.addEventListener("curves", () => this._showCurves());
    this.display.addEventListener("change", () => this._displayChanged());
    this._controls();
    listen((key) => this.act(key));
  }

  _controls() {
    this.help = helpDialog();
    document.body.append(this.help);
    const button = (name, text, act) => el("button", { type: "button", "data-name": name, onclick: act }, text);
    const views = Object.entries(VIEWS).filter(([view]) => view !== "time" || this.source.run);
    const links = (this.source.pages ?? []).map(([href, text]) => el("a", { href, class: "link" }, text));
    fill($("views"), ...views.map(([view, text]) => button(view, text, () => this.go(view))), ...links);
    fill(
      $("switches"),
      ...Object.entries(SWITCHES).map(([name, [text, key]]) => {
        const each = button(name, text, () => this.display.toggle(name));
        each.title = `Key ${key}`;
        return each;
      }),
      button("help", "?", () => this.help.showModal()),
    );
    $("switches").lastChild.setAttribute("aria-label", "Keys");
    fill($("tabs"), ...Object.entries(TABS).map(([tab, text]) => button(tab, text, () => this._tab(tab))));
    $("larger").addEventListener("click", () => this._larger());
    $("which").addEventListener("change", () => this.choose($("which").value));
    $("variant").addEventListener("change", () => this.session.become($("variant").value));
    this._tab("picture");
    this._pressed();
  }

  _sceneChanged() {
    const { scene } = this.session;
    this.scale = new Scale(scene.scale);
    $("title").textContent = scene.title;
    document.title = `${scene.title} - Oilway`;
    fill($("which"), ...scene.pictures.map(({ key, name }) => el("option", { value: key }, capital(name))));
    drawLegend($("legend"), this.scale, this.display.units);
    this.asked = scene.parts[this.asked] ? this.asked : null;
    this.seen = null; // another machine does not stand as this one did before
    this._variants(scene);
    const wanted = [this.picture, scene.lesson?.picture].filter(Boolean);
    const kept = wanted.map((each) => scene.pictures.find(({ key, name }) => each === key || each === name));
    this.choose((kept.find(Boolean) ?? scene.pictures[0])?.key);
    this._showCurves();
    if (this.view === "two") this.compare.open();
  }

  /** The variants of a lesson, to be chosen from. */
  _variants({ lesson, variant }) {
    const names = lesson?.variants ?? [];
    for (const id of ["variant", "variant-label"]) $(id).hidden = names.length < 2;
    fill($("variant"), ...names.map((name) => el("option", { value: name }, capital(name))));
    $("variant").value = variant ?? "";
  }

  /** Put up a picture of the scene. */
  choose(key) {
    this.picture = key;
    $("which").value = key ?? "";
    const found = this.session.scene.pictures.find((each) => each.key === key);
    if (!found) return;
    this.pictures.a.show(found);
    const links = ["svg", "png", "pdf"].map((format) =>
      el(
        "a",
        { download: true, onclick: (event) => this._export(event, format), href: "#" },
        format.toUpperCase(),
      ),
    );
    fill($("export"), this.source.drawing ? "Save as " : null, ...(this.source.drawing ? links : []));
    this._showOther();
    this.render();
  }

  _export(event, format) {
    const { session, display } = this;
    event.currentTarget.href = this.source.drawing(this.picture, format, display, session.set);
  }

  _showOther() {
    const pictures = this.compare.other?.scene.pictures ?? [];
    const mine = this.session.scene.pictures.find(({ key }) => key === this.picture);
    const same =
      pictures.find(({ key }) => key === this.picture) ?? pictures.find(({ sort }) => sort === mine?.sort);
    if (same) this.pictures.b.show(same);
  }

  /** Change the view; the steps begin where the class has got to. */
  go(view) {
    if (this.view === view) return;
    this.put(view);
    if (view === "steps") this.steps.go(this.steps.at);
  }

  /** Put a view up as it stands. */
  put(view) {
    if (this.view === "steps") this.steps.revealed = true;
    if (this.view === "time") this.time.stop();
    this.view = view;
    document.body.dataset.view = view;
    this._tab("picture");
    this._pressed();
    this.ask(null);
    this.compare.shown = view === "two";
    if (view === "two") this.compare.open();
    this._showCurves();
    this.render();
  }

  /** Say something over the page; an empty text takes it away. */
  say(text) {
    if (!this.broken) this._banner(text);
  }

  /** Show the panel of a part of one side; null closes it. */
  ask(part, side = "a") {
    this.asked = part;
    this.askedOf = side;
    $("part").hidden = !part;
    document.body.classList.toggle("asking", Boolean(part));
    this.panel.clear();
    for (const [name, picture] of Object.entries(this.pictures)) picture.choose(name === side ? part : null);
    this.render();
  }

  /** One key of keys.js; true when it meant something here. */
  act(key) {
    if (key in BY_KEY) this.display.toggle(BY_KEY[key]);
    else if (key >= "1" && key <= "5") $("views").querySelectorAll("button")[key - 1]?.click();
    else if (key === "c") this._nextPicture();
    else if (key === "s") this.handles.focus();
    else if (key === "g") this.handles.next();
    else if (key === "z") this._larger();
    else if (key === "r") this.session.put({});
    else if (key === "?") this.help.showModal();
    else if (key === "Escape" && this.asked) this.ask(null);
    else if (this.view === "steps" && (key === "PageDown" || key === " ")) this.steps.next();
    else if (this.view === "steps" && key === "PageUp") this.steps.back();
    else if (this.view === "steps" && key === "a") this.steps.reveal();
    else if (this.view === "time" && key === " ") this.time.toggle();
    else return false;
    return true;
  }

  /** The picture at twice its size, to be moved about under its window. */
  _larger() {
    const large = $("pictures").classList.toggle("large");
    $("larger").setAttribute("aria-pressed", large);
    for (const host of document.querySelectorAll(".picture")) host.tabIndex = large ? 0 : -1; // for keys
  }

  _nextPicture() {
    const keys = this.session.scene.pictures.map(({ key }) => key);
    this.choose(keys[(keys.indexOf(this.picture) + 1) % keys.length]);
  }

  /** Paint what there is to see now. */
  render() {
    const { session, display, steps } = this;
    $("frozen").hidden = !display.frozen;
    if (display.frozen || !session.frame) return;
    const inSteps = this.view === "steps";
    const hides = (what) => inSteps && steps.hides(what);
    const run = this.view === "time" ? this.time.state : null;
    if (!hides("parts") || !this.seen) this.seen = run ?? { values: session.values, statuses: session.frame.statuses };
    const how = display.how(this.scale, hides("numbers"));
    $("before").hidden = !hides("parts");
    this._side("a", session, this.seen, how, hides("words") || (inSteps && steps.stop?.faulty), run);
    if (this.view === "two" && this.compare.other?.frame) {
      const { other } = this.compare;
      this._side("b", other, { values: other.values, statuses: other.frame.statuses }, how, false, null);
    }
    this._walk(["curve", "numbers", "parts"].some(hides), run); // the point on the curve tells what they hide
    if (this.asked) this.panel.show(this.asked, this._asked(run), how);
    this.teller?.tell();
  }

  /** What the panel of a part reads: the side that was touched, or the moment of a run. */
  _asked(run) {
    if (this.askedOf === "b") return this.compare.other;
    const { scene, frame, values } = this.session;
    return run ? { scene, values: run.values, frame: { ...frame, ...run } } : { scene, frame, values };
  }

  _side(name, session, { values, statuses }, how, hidden, run) {
    const picture = this.pictures[name];
    picture.paint(values, statuses, how);
    const { frame, problem } = session;
    picture.grey(Boolean(problem || this.broken));
    const shown = this.session.scene.pictures.find(({ key }) => key === this.picture);
    const first = shown?.sort === "cutaway" ? shown.name : "";
    const said = run ? { ...run, problem: null } : { ...frame, problem };
    const side = this.view === "two" ? (name === "a" ? "Side a" : `Side b: ${this.compare.said}`) : "";
    this.words[name].show(said, { first, hidden, side });
    const notes = hidden
      ? []
      : run
        ? run.findings
        : problem
          ? [[problem.part, problemText(problem)]]
          : frame.findings;
    picture.say(notes);
    if (this.view === "two") {
      $("name-a").textContent = "Side a: as it is set";
      $("name-b").textContent = `Side b: ${this.compare.said}`;
    }
  }

  _curvesShown() {
    const own = this.session.curves ?? [];
    const shown = own.map((curve) => ({ name: curve.valve, curve, session: this.session }));
    if (this.view !== "two" || !this.compare.other?.curves) return shown;
    const other = this.compare.other.curves.map((curve) => ({
      name: curve.valve,
      curve,
      session: this.compare.other,
    }));
    for (const [side, each] of [...shown.map((one) => ["a", one]), ...other.map((one) => ["b", one])]) {
      each.tag = own.length > 1 || other.length > 1 ? `${side}: ${each.name}` : side;
      each.name = `${side}: ${each.name}`;
    }
    return [...shown, ...other];
  }

  _showCurves() {
    this.curvesNow = this._curvesShown();
    document.body.classList.toggle("plain", !this.curvesNow.length);
    this.curve.show(this.curvesNow);
    this.render();
  }

  _walk(hidden, run) {
    this.curve.points(
      (this.curvesNow ?? []).map(({ curve, session }) => {
        if (hidden) return null;
        const values = run?.values ?? session.values;
        const flow = curve.point["flows out of"].reduce((sum, name) => sum - values.get(name), 0);
        return { pressure: values.get(curve.point.pressure), flow };
      }),
    );
  }

  /** Side b has a new "scene", "frame", "problem" or "curves". */
  _sideChanged(what) {
    if (what === "scene") this._showOther();
    if (what === "scene" || what === "curves") this._showCurves();
    else this.render();
  }

  _displayChanged() {
    document.body.classList.toggle("big", this.display.big);
    drawLegend($("legend"), this.scale, this.display.units);
    this._pressed();
    this._showCurves();
  }

  _pressed() {
    for (const button of $("views").querySelectorAll("button"))
      button.setAttribute("aria-pressed", button.dataset.name === this.view);
    for (const button of $("switches").querySelectorAll("[data-name]")) {
      const { name } = button.dataset;
      if (name === "units") button.textContent = this.display.units.unit("pressure");
      else if (name !== "help")
        button.setAttribute("aria-pressed", name === "quiet" ? !this.display.quiet : this.display[name]);
    }
  }

  _tab(tab) {
    document.body.dataset.tab = tab;
    for (const button of $("tabs").children) button.setAttribute("aria-pressed", button.dataset.name === tab);
  }

  async _reload() {
    try {
      const scene = await this.source.scene();
      this._broken(null);
      this.session.take(scene);
    } catch (error) {
      this._broken(error.problem ?? { what: error.message });
    }
  }

  /** The file on the disk cannot be read: say where and what, and keep the last picture, greyed. */
  _broken(problem) {
    this.broken = problem;
    const all = problem ? [problem, ...(problem.more ?? [])] : [];
    this._banner(all.slice(0, MOST_PROBLEMS).map(brokenText).join("\n"));
    this.render();
  }

  _lost(lost) {
    this.say(lost ? "The server does not answer. Is 'oilway open' still running?" : "");
  }

  _banner(text) {
    $("banner").textContent = text;
    $("banner").hidden = !text;
  }
}

/** A problem of the file with its place. */
function brokenText(problem) {
  const where = problem.file ? `${problem.file}${problem.line ? `:${problem.line}` : ""}: ` : "";
  return where + problemText(problem);
}
