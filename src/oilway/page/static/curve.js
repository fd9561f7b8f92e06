// The pressure-flow curves, and the operating points that walk along them.

import { el, fill } from "./dom.js";
import uPlot from "./vendor/uplot/uPlot.esm.js";

export const PENS = ["#12407f", "#a8470f", "#1f6a3a", "#6a2c70"];
const BAND = "rgba(18, 64, 127, 0.13)";
const INK = "#1a1a1a";
const GRID = "#dcd9d0";
const EVERY = 9; // points of the falling branch between two markers
const ROOM = 1.12; // of the highest pressure, to the top of the chart
const LABELLED = 2; // curves whose points have their numbers beside them; of more, the numbers stand below
const NAMED = [0.55, 0.3, 0.8, 0.45, 0.95]; // of the full flow, where a curve may have its name
const BESIDE = 18; // px from a point to its numbers
const TIGHT = 260; // px: a chart as low as this has room for one line a point
const MORE = 1.1; // of the highest flow, to the right end

/** Chart and figures of some curves, with a ring where each valve works now. */
export class CurveView {
  constructor(host, display) {
    this.host = host;
    this.display = display;
    this.shown = [];
    this.close = false;
    this.chart = el("div", { class: "chart", role: "img" });
    this.figures = el("div", { class: "figures" });
    this.zoom = el(
      "button",
      { type: "button", class: "zoom", "aria-pressed": "false", onclick: () => this._look() },
      "Look closer",
    );
    fill(host, el("header", {}, el("h2", {}, "Pressure over flow"), this.zoom), this.chart, this.figures);
    new ResizeObserver(() => this._resize()).observe(this.chart);
  }

  /** `shown`: [{name, curve}, ...], as the scene has them. */
  show(shown) {
    const some = shown.slice(0, PENS.length);
    const many = some.length > LABELLED;
    this.shown = many
      ? some.map((each, i) => ({ ...each, tag: String(i + 1), name: `${i + 1}: ${each.name}` }))
      : some;
    this.figures.classList.toggle("many", many);
    this.host.classList.toggle("empty", !this.shown.length);
    this._figures();
    this._draw();
  }

  /** Where each valve works now: [{flow, pressure} or null, ...] in SI, in the order of the curves. */
  points(points) {
    this.now = points;
    this._walk();
  }

  _look() {
    this.close = !this.close;
    this.zoom.setAttribute("aria-pressed", this.close);
    this._draw();
  }

  _draw() {
    this.plot?.destroy();
    this.plot = null;
    fill(this.chart);
    const { clientWidth: width, clientHeight: height } = this.chart;
    if (!this.shown.length || width < 80 || height < 80) return;
    const { units } = this.display;
    const per = (list, kind) => list.map((value) => units.number(value, kind));
    const tables = this.shown.map(({ curve }) => [
      per(curve.flows, "flow"),
      per(curve.rising, "pressure"),
      per(curve.falling, "pressure"),
    ]);
    const data = tables.length > 1 ? uPlot.join(tables) : tables[0];
    this.plot = new uPlot(this._options(width, height, data), data, this.chart);
    this.rings = this.shown.map((_, i) => {
      const ring = el("div", { class: "ring", hidden: true }, el("span", {}));
      ring.style.setProperty("--pen", PENS[i]);
      ring.style.setProperty("--size", `${1.7 - 0.45 * i}rem`); // rings in one place stay apart
      ring.style.setProperty("--nth", i);
      ring.classList.toggle("one-of-many", this.shown.length > LABELLED);
      this.plot.over.append(ring);
      return ring;
    });
  }

  _options(width, height, data) {
    const { units } = this.display;
    const size = Math.round(parseFloat(getComputedStyle(this.host).fontSize));
    const high = Math.max(...data.slice(1).flatMap((list) => list.filter((v) => v != null)));
    const low = Math.min(
      ...this.shown.map(({ curve }) => units.number(Math.min(curve.cracking, curve.reseating), "pressure")),
    );
    const range = this.close ? [low - 0.25 * (high - low), high + 0.15 * (high - low)] : [0, ROOM * high];
    const axis = {
      stroke: INK,
      font: `${size}px DejaVu Sans, Verdana, sans-serif`,
      labelFont: `${size}px DejaVu Sans, Verdana, sans-serif`,
      grid: { stroke: GRID, width: 1 },
      ticks: { stroke: GRID },
      values: (_, splits) => splits.map((split) => String(Number(split.toPrecision(6)))),
    };
    return {
      width,
      height,
      legend: { show: false },
      cursor: { show: false },
      select: { show: false },
      padding: [size / 2, size, 0, 0],
      scales: { x: { time: false, range: [0, data[0].at(-1) * MORE] }, y: { range: () => range } },
      axes: [
        {
          ...axis,
          label: `flow, ${units.unit("flow")}`,
          size: size * 1.9,
          labelSize: size * 1.5,
          space: size * 4,
        },
        {
          ...axis,
          label: `pressure, ${units.unit("pressure")}`,
          size: size * 4,
          labelSize: size * 1.7,
          space: size * 2.4,
        },
      ],
      series: [{}, ...this.shown.flatMap((_, i) => branches(PENS[i]))],
      hooks: {
        ready: [() => setTimeout(() => this._walk())],
        drawClear: [(plot) => this._band(plot)],
        draw: [(plot) => this._names(plot, size)],
      },
    };
  }

  /** The override, shaded: between cracking and full-flow pressure of the first curve. */
  _band(plot) {
    const { units } = this.display;
    const [{ curve }] = this.shown;
    const [a, b] = [curve.full, curve.cracking].map((p) => plot.valToPos(units.number(p, "pressure"), "y", true));
    const { left, width } = plot.bbox;
    plot.ctx.save();
    plot.ctx.fillStyle = BAND;
    plot.ctx.fillRect(left, a, width, Math.max(b - a, 1));
    plot.ctx.restore();
  }

  /** The name of each curve, written over it away from its ends, so that no colour has to be looked up. */
  _names(plot, size) {
    const { units } = this.display;
    const { ctx } = plot;
    ctx.save();
    ctx.font = `bold ${size * devicePixelRatio}px DejaVu Sans, Verdana, sans-serif`;
    ctx.textAlign = "right"; // a rising curve leaves room over its lower side
    const line = 1.2 * size * devicePixelRatio;
    const lines = this.shown.map(({ curve }) =>
      curve.flows.map((flow, i) => [
        plot.valToPos(units.number(flow, "flow"), "x", true),
        plot.valToPos(units.number(curve.rising[i], "pressure"), "y", true),
      ]),
    );
    const taken = [];
    this.shown.forEach(({ name, tag = name, curve }, k) => {
      const wide = ctx.measureText(tag).width;
      const boxes = [-0.5, 1.25, 2.4].flatMap((off) =>
        NAMED.map((share) => {
          const i = curve.flows.findIndex((flow) => flow >= share * curve["full flow"]);
          const [x, y] = lines[k].at(i);
          const left = Math.max(x - wide, plot.bbox.left);
          return { left, right: left + wide, top: y + off * line - 0.8 * line, foot: y + off * line };
        }),
      );
      const inside = boxes.filter(({ top, foot }) => top >= 0 && foot <= plot.bbox.top + plot.bbox.height);
      const free = inside.find((box) => !taken.some((other) => meets(box, other)) && !lines.some((l) => cut(box, l)));
      const box = free ?? inside.find((each) => !taken.some((other) => meets(each, other))) ?? boxes[0];
      taken.push(box);
      ctx.fillStyle = PENS[k];
      ctx.fillText(tag, box.right, box.foot);
    });
    [this.named, this.lines] = [taken, lines];
    ctx.restore();
  }

  _walk() {
    if (!this.plot?.status) return; // 1 once its scales are known
    const { units } = this.display;
    const [width, height] = [this.plot.bbox.width, this.plot.bbox.height].map((size) => size / devicePixelRatio);
    const words = [...(this.named ?? [])]; // what the numbers of a point keep clear of
    this.rings.forEach((ring, i) => {
      const point = this.now?.[i];
      ring.hidden = !point;
      if (!point) {
        this.places[i].textContent = "";
        return;
      }
      const x = this.plot.valToPos(units.number(point.flow, "flow"), "x");
      const y = this.plot.valToPos(units.number(point.pressure, "pressure"), "y");
      const [left, top] = [Math.min(Math.max(x, 0), width), Math.min(Math.max(y, 0), height)];
      ring.style.transform = `translate(${left.toFixed(1)}px, ${top.toFixed(1)}px)`;
      ring.classList.toggle("outside", Math.abs(left - x) + Math.abs(top - y) > 1);
      ring.classList.toggle("leftwards", left > width / 2);
      const lines = [units.show(point.pressure, "pressure"), units.show(point.flow, "flow")];
      this.places[i].textContent = this.display.quiet ? "?" : lines.join(", ");
      ring.firstChild.textContent = this.display.quiet ? "" : this._beside(i, lines, height < TIGHT);
      if (this.shown.length <= LABELLED) words.push(this._settle(ring.firstChild, left, top, words));
    });
  }

  /** What stands beside a point: of many curves their number, of two a name too where there is room for it. */
  _beside(i, lines, tight) {
    const { tag, name } = this.shown[i];
    if (this.shown.length > LABELLED) return tag ?? name;
    if (tight) return lines.join(", ");
    return (this.shown.length > 1 ? [tag ?? name, lines.join(", ")] : lines).join("\n");
  }

  /** Put the numbers of a point beside it, where they cover no curve and no words, as far as there is room. */
  _settle(span, x, y, words) {
    const { bbox } = this.plot;
    const [wide, high] = [span.offsetWidth, span.offsetHeight];
    const at = (place, edge) => place * devicePixelRatio + edge;
    const around = (left, top, width, height) => ({
      left: at(left, bbox.left),
      right: at(left + width, bbox.left),
      top: at(top, bbox.top),
      foot: at(top + height, bbox.top),
    });
    const taken = [...words, around(x - BESIDE, y - BESIDE, 2 * BESIDE, 2 * BESIDE)];
    const spots = [0, 0.5, 1, 1.5].flatMap((far) =>
      [-high - BESIDE / 2 - far * high, BESIDE / 2 + far * high].flatMap((dy) =>
        [BESIDE, -wide - BESIDE, -wide / 2].map((dx) => ({ dx, dy, ...around(x + dx, y + dy, wide, high) })),
      ),
    );
    const covers = (box) =>
      (this.lines ?? []).filter((line) => cut(box, line)).length +
      2 * taken.filter((other) => meets(box, other)).length +
      8 * (box.top < 0 || box.left < bbox.left || box.right > bbox.left + bbox.width + BESIDE) +
      8 * (box.foot > bbox.top + bbox.height);
    const best = spots.reduce((least, box) => (covers(box) < covers(least) ? box : least));
    [span.style.left, span.style.top] = [`${best.dx}px`, `${best.dy}px`];
    return best;
  }

  _resize() {
    if (this.plot && this.plot.width === this.chart.clientWidth && this.plot.height === this.chart.clientHeight)
      return;
    this._draw();
  }

  _figures() {
    const { units, quiet } = this.display;
    const show = (value, kind) => (quiet ? "?" : units.show(value, kind));
    this.places = this.shown.map(() => el("dd", { class: "now" }));
    const boxes = this.shown.map(({ name, curve }, i) => {
      const key = el("span", { class: "key", "aria-hidden": "true" });
      key.style.setProperty("--pen", PENS[i]);
      const rows = [
        ["Cracking", show(curve.cracking, "pressure")],
        ["Full flow", show(curve.full, "pressure")],
        ["Override", show(curve.override, "pressure")],
        ["Reseating", show(curve.reseating, "pressure")],
      ];
      const list = rows.flatMap(([term, value]) => [el("dt", {}, term), el("dd", {}, value)]);
      const now = this.shown.length > LABELLED ? [el("dt", {}, "Now"), this.places[i]] : [];
      return el("section", {}, el("h3", {}, key, name), el("dl", {}, ...now, ...list));
    });
    const how = "Solid: rising. Dashed with rings: falling. Shaded: the override of the first.";
    fill(this.figures, ...boxes, this.shown.length ? el("p", { class: "how" }, how) : null);
    const said = this.shown.map(
      ({ name, curve }) =>
        `${name}: cracking ${show(curve.cracking, "pressure")}, full flow ${show(curve.full, "pressure")} at ` +
        `${show(curve["full flow"], "flow")}, reseating ${show(curve.reseating, "pressure")}.`,
    );
    this.chart.setAttribute("aria-label", `Pressure over flow. ${said.join(" ")}`);
  }
}

function meets(a, b) {
  return a.left < b.right && b.left < a.right && a.top < b.foot && b.top < a.foot;
}

/** Whether a curve, as points, runs through a box. */
function cut({ left, right, top, foot }, points) {
  return points.some(([x, y], i) => {
    const [xa, ya] = points[Math.max(i - 1, 0)];
    if (Math.max(x, xa) < left || Math.min(x, xa) > right) return false;
    const at = (place) => (x === xa ? y : ya + ((y - ya) * (Math.min(Math.max(place, xa), x) - xa)) / (x - xa));
    const [a, b] = [at(left), at(right)];
    return Math.max(a, b) > top && Math.min(a, b) < foot;
  });
}

/** Rising: a solid line.  Falling: dashes with rings. */
function branches(pen) {
  const some = (plot, series) => {
    const marked = [];
    plot.data[series].forEach((value, i) => value != null && marked.push(i));
    return marked.filter((_, i) => i % EVERY === 4);
  };
  return [
    { stroke: pen, width: 4, spanGaps: true, points: { show: false } },
    {
      stroke: pen,
      width: 2,
      dash: [9, 6],
      spanGaps: true,
      points: { show: true, size: 9, fill: "#fff", width: 2, filter: some },
    },
  ];
}
