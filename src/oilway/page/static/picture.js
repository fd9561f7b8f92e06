// One picture of the scene: repainted from states, touched to ask about a part, told what is wrong where.

import { el, fill } from "./dom.js";
import { Painter } from "./paint.js";

const EDGE = 130; // px that a note keeps its middle away from the edge
const NARROW = 500; // px: in a narrower window the notes stand below the picture, not on it

/** The server's SVG as an element of this page, its ids made different by `prefix`. */
function adopt(text, prefix) {
  const parsed = new DOMParser().parseFromString(text, "image/svg+xml");
  if (parsed.querySelector("parsererror")) throw new Error("the picture is no SVG");
  const root = document.importNode(parsed.documentElement, true);
  root.querySelectorAll("script, foreignObject").forEach((element) => element.remove());
  // A part drawn inside another one: the outer one is a group then, for a button holds no buttons.
  for (const inner of root.querySelectorAll("[data-part] [data-part]")) {
    inner.parentElement.closest("[data-part]").setAttribute("role", "group");
  }
  if (prefix) {
    for (const element of root.querySelectorAll("*")) {
      for (const attribute of element.attributes) {
        if (attribute.name === "id") attribute.value = prefix + attribute.value;
        else if (attribute.localName === "href") attribute.value = attribute.value.replace(/^#/, `#${prefix}`);
        else attribute.value = attribute.value.replaceAll("url(#", `url(#${prefix}`);
      }
    }
  }
  return root;
}

/** Push notes that lie on one another down, one under the other. */
function apart(notes) {
  const done = [];
  for (const note of notes) {
    const box = note.getBoundingClientRect();
    let down = 0;
    for (const other of done) {
      const aside = box.left > other.right || box.right < other.left;
      if (!aside && box.top + down < other.bottom && box.bottom + down > other.top)
        down = other.bottom - box.top + 2;
    }
    if (down) note.style.top = `${parseFloat(note.style.top) + down}px`;
    done.push(note.getBoundingClientRect());
  }
}

/** A picture in `host`; `touched(part)` is called when a part is asked about. */
export class PictureView {
  constructor(host, { prefix = "", touched }) {
    this.host = host;
    this.prefix = prefix;
    this.touched = touched;
    this.sheet = el("div", { class: "sheet" });
    this.callouts = el("div", { class: "callouts" });
    this.plane = el("div", { class: "plane" }, this.sheet, this.callouts);
    fill(host, this.plane);
    this.said = [];
    host.addEventListener("click", (event) => this._asked(event.target));
    host.addEventListener("keydown", (event) => {
      if ((event.key === "Enter" || event.key === " ") && this._asked(event.target)) {
        event.preventDefault();
        event.stopPropagation();
      }
    });
    new ResizeObserver(() => this.say(this.said)).observe(this.plane);
  }

  /** Put up a picture of the scene. */
  show(picture) {
    this.picture = picture;
    this.root = adopt(picture.svg, this.prefix);
    fill(this.sheet, this.root);
    this.painter = new Painter(this.root, picture.bindings, this.prefix);
    this.said = [];
    fill(this.callouts);
  }

  paint(values, statuses, how) {
    this.painter?.paint(values, statuses, how);
  }

  /** Grey: what stands here is not what was asked for. */
  grey(on) {
    this.host.classList.toggle("stale", on);
  }

  /** Frame the part that is asked about. */
  choose(part) {
    this.root?.querySelectorAll(".chosen").forEach((element) => element.classList.remove("chosen"));
    if (part) this._of(part)?.classList.add("chosen");
  }

  /** Words at the parts they are about: [[part, text], ...]; parts that are not in the picture are left out. */
  say(said) {
    if (!said.length && !this.said.length) return;
    this.said = said;
    const home = this.plane.getBoundingClientRect();
    const narrow = this.host.clientWidth < NARROW;
    this.root.setAttribute("preserveAspectRatio", narrow && said.length ? "xMidYMin" : "xMidYMid");
    const notes = [];
    for (const [part, text] of said) {
      const place = part && this._of(part)?.getBoundingClientRect();
      if (!place) continue;
      const alone = text.startsWith(`${part}: `) ? text.slice(part.length + 2) : text;
      const note = el("p", { class: "callout" }, narrow ? `${part}: ${alone}` : alone);
      notes.push(note);
      if (narrow) continue;
      const left = Math.min(
        Math.max(place.left + place.width / 2 - home.left, EDGE),
        Math.max(home.width - EDGE, EDGE),
      );
      const below = place.bottom - home.top + EDGE < home.height;
      note.style.left = `${left}px`;
      note.style.top = `${(below ? place.bottom : place.top) - home.top}px`;
      note.classList.toggle("above", !below);
    }
    this.callouts.classList.toggle("listed", narrow);
    this.callouts.style.paddingTop = narrow ? `${this._foot(home)}px` : "";
    fill(this.callouts, ...notes);
    if (!narrow) apart(notes);
  }

  /** How far down the picture reaches in its window when it stands at the top of it, px. */
  _foot({ width, height }) {
    const [, , across, down] = this.root.getAttribute("viewBox").split(" ").map(Number);
    return Math.min(down * Math.min(width / across, height / down), height);
  }

  _asked(target) {
    const part = target.closest?.("[data-part]")?.dataset.part;
    if (part) this.touched(part);
    return Boolean(part);
  }

  _of(part) {
    return [...(this.root?.querySelectorAll("[data-part]") ?? [])].find(
      (element) => element.dataset.part === part,
    );
  }
}
