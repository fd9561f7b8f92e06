// What is known of one side: its scene, the values set, the last state that could be solved.

import { settled } from "./dom.js";
import { SourceError } from "./source.js";

const PAUSE = 250; // ms without a change before curves are taken anew

/** Tells "scene", "frame", "problem", "curves" as they come. */
export class Session extends EventTarget {
  constructor(source, side = "a") {
    super();
    this.source = source;
    this.side = side;
    this.set = {};
    this.problem = null;
    this.inside = "[]";
    this.laterCurves = settled(PAUSE, () => this.askCurves());
  }

  /** Take a scene over; what was set stays where the parameter is still there. */
  take(scene) {
    this.scene = scene;
    this.handles = new Map(scene.handles.map((handle) => [handle.parameter, handle]));
    this.set = this.known(this.set);
    this.curves = scene.curves;
    this.frame = null; // the old numbers do not fit the new picture
    this.tell("scene");
    this.got(scene.frame);
    if (Object.keys(this.set).length) this.ask();
    if (Object.keys(this.set).length || !this.curves.length) this.askCurves();
  }

  /** Go over to another variant of a lesson; of several asked for, the last one stays. */
  async become(variant) {
    if (variant === (this.wanted ?? this.scene.variant)) return;
    this.wanted = variant;
    const scene = await this.source.scene(variant);
    if (this.wanted !== variant) return;
    this.side = variant;
    this.take(scene);
  }

  /** The part of `set` that this side has handles for. */
  known(set) {
    return Object.fromEntries(Object.entries(set).filter(([name]) => this.handles.has(name)));
  }

  /** Value of a parameter as it is set. */
  value(parameter) {
    return this.set[parameter] ?? this.handles.get(parameter)?.value;
  }

  /** Set some values (SI by parameter) and ask for the state. */
  change(values) {
    return this.put({ ...this.set, ...values });
  }

  /** Set exactly these values, everything else as the file has it. */
  put(values) {
    this.set = { ...values };
    this.tell("set");
    this.staleCurves();
    return this.ask();
  }

  async ask() {
    const { side } = this;
    try {
      const frame = await this.source.frame(this.set, side);
      if (frame && side === this.side) this.got(frame); // else another variant has been gone over to
    } catch (error) {
      if (side !== this.side) return;
      this.got({ problem: error instanceof SourceError ? error.problem : { what: String(error), hint: "" } });
    }
  }

  got(frame) {
    if (frame.problem) {
      this.problem = frame.problem;
      this.tell("problem");
      return;
    }
    this.problem = null;
    this.frame = frame;
    this.values = this.byName(frame.values);
    this.tell("frame");
  }

  /** A row of values by channel name. */
  byName(row) {
    return new Map(this.scene.channels.map((channel, i) => [channel.name, row[i]]));
  }

  /** Curves are taken anew when something else than the operating point was moved. */
  staleCurves() {
    const group = (name) => this.handles.get(name)?.group;
    const now = JSON.stringify(Object.entries(this.set).filter(([name]) => group(name) !== "operating point"));
    if (now !== this.inside) this.laterCurves();
    this.inside = now;
  }

  /** Ask for the curves as things are set now; a curve that cannot be taken keeps the last one. */
  async askCurves() {
    const { side } = this;
    const answer = await this.source.curves(this.set, side).catch(() => null);
    if (!answer || side !== this.side) return; // curves of a variant left behind may take longer than its own
    this.curves = answer.curves;
    this.tell("curves");
  }

  tell(what) {
    this.dispatchEvent(new Event(what));
  }
}

/** How things are shown, for all views: units, numbers, big, hatched, frozen.  Tells "change". */
export class Display extends EventTarget {
  constructor(units) {
    super();
    this.units = units;
    this.quiet = false;
    this.big = false;
    this.hatched = false;
    this.frozen = false;
  }

  toggle(name) {
    if (name === "units") this.units.chosen = this.units.chosen === "shop" ? "metric" : "shop";
    else this[name] = !this[name];
    this.dispatchEvent(new Event("change"));
  }

  /** What a painter needs to know, with numbers hidden for a reason of the view's own too. */
  how(scale, quiet = false) {
    return { scale, units: this.units, hatched: this.hatched, quiet: this.quiet || quiet };
  }
}
