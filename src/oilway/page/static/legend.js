// The pressure scale at the side of a picture: colour, hatch and numbers.

import { el, fill } from "./dom.js";

const SVG = "http://www.w3.org/2000/svg";
const MOST = 6; // ticks, the end not counted
const TALL = 320;
const WIDE = 30;

/** Draw the scale into `host`. */
export function drawLegend(host, scale, units) {
  const end = units.number(scale.full, "pressure");
  const step = round(end / MOST);
  const ticks = Array.from({ length: Math.floor(end / step + 1e-9) + 1 }, (_, i) => {
    const label = el("span", { class: "tick" }, String(Math.round(i * step)));
    label.style.bottom = `${(100 * i * step) / end}%`;
    return label;
  });
  const unit = el("span", { class: "unit" }, units.unit("pressure"));
  fill(host, unit, el("div", { class: "column" }, bar(scale), el("div", { class: "ticks" }, ...ticks)));
}

/** The next 1, 2 or 5 times a power of ten. */
function round(size) {
  const power = 10 ** Math.floor(Math.log10(size));
  return power * [1, 2, 5, 10].find((times) => times * power >= size * (1 - 1e-9));
}

function bar(scale) {
  const svg = make("svg", {
    viewBox: `0 0 ${WIDE * 2} ${TALL}`,
    preserveAspectRatio: "none",
    "aria-hidden": "true",
  });
  const slice = TALL / 64;
  for (let i = 0; i < 64; i += 1) {
    const fillColour = scale.colour(((i + 0.5) / 64) * scale.full);
    svg.append(
      make("rect", { x: 0, y: TALL - (i + 1) * slice, width: WIDE, height: slice + 0.5, fill: fillColour }),
    );
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
