// Paints a picture with the numbers of one state: the twin of oilway/draw/paint.py, binding by binding.
// A test compares what the two write.

const SMALLEST = 0.55; // size of the arrow of the least flow that shows; that of the largest is 1
export const UNKNOWN = "?"; // stands where a number is hidden

/** Repaints one SVG tree from rows of numbers; writes an attribute only when it changes. */
export class Painter {
  /** `root`: the SVG element in the page; `bindings`: of the scene's picture; `prefix`: put before its ids. */
  constructor(root, bindings, prefix = "") {
    this.bindings = bindings;
    this.elements = new Map();
    for (const element of root.querySelectorAll("[id]"))
      this.elements.set(element.id.slice(prefix.length), element);
    const pattern = root.querySelector('pattern[id$="-hatch-0"]');
    this.hatchId = pattern ? pattern.id.slice(0, -1) : "";
    this.written = new Map();
  }

  /** `how`: {scale, units, hatched, quiet}; `quiet` writes "?" for every number. */
  paint(values, statuses, how) {
    this.values = values;
    this.statuses = statuses;
    this.how = how;
    for (const binding of this.bindings) this[`_${binding.what}`](binding, binding.options);
  }

  /** Write what has changed (of a text, with what else it `holds`); true where it has. */
  _set(binding, attribute, value, holds = "") {
    const slot = `${binding.id} ${attribute}`;
    if (this.written.get(slot) === value + holds) return false;
    this.written.set(slot, value + holds);
    const element = this.elements.get(binding.id);
    if (attribute === "text") element.textContent = value;
    else element.setAttribute(attribute, value);
    return true;
  }

  _value(binding) {
    return this.values.get(binding.channel);
  }

  _fill(binding) {
    this._set(binding, "fill", this.how.scale.colour(this._value(binding)));
  }

  _hatch(binding) {
    const band = this.how.scale.hatch(this._value(binding));
    this._set(binding, "fill", this.how.hatched ? `url(#${this.hatchId}${band})` : "none");
  }

  _stroke(binding) {
    this._set(binding, "stroke", this.how.scale.colour(this._value(binding)));
  }

  _text(binding, { before = "", after = "", kind, unsigned, "unit size": unitSize }) {
    const value = unsigned ? Math.abs(this._value(binding)) : this._value(binding);
    const said = this.how.quiet ? UNKNOWN : this.how.units.show(value, kind);
    const [digits, ...unit] = unitSize ? said.split(" ") : [said];
    const small = unit.length ? ` ${unit.join(" ")}${after}` : "";
    if (!this._set(binding, "text", small ? `${before}${digits}` : `${before}${said}${after}`, small) || !small) return;
    const unitText = document.createElementNS("http://www.w3.org/2000/svg", "tspan");
    unitText.setAttribute("font-size", unitSize);
    unitText.textContent = small;
    this.elements.get(binding.id).append(unitText);
  }

  _move(binding, { dx = 0, dy = 0, most = 0 }) {
    const [x, y] = [dx, dy].map((gain) => clipped(gain * this._value(binding), most));
    this._set(binding, "transform", `translate(${x.toFixed(2)} ${y.toFixed(2)})`);
  }

  _spring(binding, { x = 0, width = 0, coils = 0, a = 0, b = 0, gain = 0, most = 0, ...rest }) {
    const anchor = (rest["anchor gain"] ?? 0) * (this.values.get(rest["anchor channel"]) ?? 0);
    const end = b + clipped(gain * this._value(binding), most);
    this._set(binding, "d", springPath(x, width, coils, a + anchor, end));
  }

  _turn(binding, { cx = 0, cy = 0 }) {
    const angle = 360 * this._value(binding);
    this._set(binding, "transform", `rotate(${angle.toFixed(2)} ${cx} ${cy})`);
  }

  _flow(binding, { least = 0, full = 0 }) {
    const flow = this._value(binding);
    const size = Math.abs(flow);
    if (size < least) {
      this._set(binding, "visibility", "hidden");
      return;
    }
    const grown = full > least ? Math.log(size / least) / Math.log(full / least) : 1;
    const scale = SMALLEST + (1 - SMALLEST) * Math.min(Math.max(grown, 0), 1);
    this._set(binding, "visibility", "visible");
    this._set(binding, "transform", `scale(${(flow < 0 ? -scale : scale).toFixed(3)} ${scale.toFixed(3)})`);
  }

  _status(binding, { when }) {
    const shows = this.statuses[binding.channel.slice("status:".length)] === when;
    this._set(binding, "visibility", shows ? "visible" : "hidden");
  }
}

function clipped(value, most) {
  return most > 0 ? Math.min(Math.max(value, -most), most) : value;
}

/** A coil spring seen from the side, as a path from (x, a) to (x, b). */
export function springPath(x, width, coils, a, b) {
  const steps = Math.trunc(2 * coils);
  const points = [[x, a]];
  for (let i = 0; i < steps; i += 1) {
    points.push([x + (i % 2 ? width / 2 : -width / 2), a + ((b - a) * (i + 0.5)) / steps]);
  }
  points.push([x, b]);
  return `M${points.map(([px, py]) => `${px.toFixed(2)} ${py.toFixed(2)}`).join("L")}`;
}
