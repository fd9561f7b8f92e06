// The pressure scale at the side of a picture: colour, hatch and numbers.

import { el, fill } from "./dom.js";

const SVG = "http://www.w3.org/2000/svg";
const TICKS = [0, 0.25, 0.5, 0.75, 1];
const TALL = 320;
const WIDE = 30;

/** Draw the scale into `host`. */
export function drawLegend(host, scale, units) {
  const ticks = TICKS.map((share) => {
    const label = el("span", { class: "tick" }, units.digits(share * scale.full, "pressure"));
    label.style.bottom = `${share * 100}%`;
    return label;
  });
  const unit = el("span", { class: "unit" }, units.unit("pressure"));
  fill(host, unit, el("div", { class: "column" }, bar(scale), el("div", { class: "ticks" }, ...ticks)));
}

function bar(scale) {
  const svg = make("svg", { viewBox: `0 0 ${WIDE * 2} ${TALL}`, preserveAspectRatio: "none", "aria-hidden": "true" });
  const slice = TALL / 64;
  for (let i = 0; i < 64; i += 1) {
    const fillColour = scale.colour(((i + 0.5) / 64) * scale.full);
    svg.append(make("rect", { x: 0, y: TALL - (i + 1) * slice, width: WIDE, height: slice + 0.5, fill: fillColour }));
  }
  const band = TALL / scale.hatches;
  for (let i = 0; i < scale.hatches; i += 1) {
    const top = TALL - (i + 1) * band;
    svg.append(make("rect", { x: WIDE, y: top, width: WIDE, height: band, fill: "#fff", stroke: "#1a1a1a" }));
    for (let line = 1; line <= i; line += 1) {
      const y = top + (band * line) / (i + 1);
      svg.append(make("line", { x1: WIDE, x2: 2 * WIDE, y1: y, y2: y, stroke: "#1a1a1a", "stroke-width": 1.6 }));
    }
  }
  return svg;
}

function make(tag, attributes) {
  const element = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  return element;
}
