// A run in time: computed by the server, then played, stopped and scrubbed here.

import { PENS } from "./curve.js";
import { capital, el, fill } from "./dom.js";
import uPlot from "./vendor/uplot/uPlot.esm.js";

const SPEEDS = [1, 0.1, 0.01];
const SLOW = 0.01; // speed around an event
const AROUND = 0.01; // s on both sides of an event that are slowed down
const INK = "#1a1a1a";
const DASHES = [[], [12, 5], [4, 4], [14, 4, 3, 4]];

/** What happens in the run around a time: values by linear interpolation between its rows. */
export function between(times, rows, time) {
  let low = 0;
  let high = times.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (times[middle] <= time) low = middle;
    else high = middle;
  }
  const share = Math.min(Math.max((time - times[low]) / (times[high] - times[low] || 1), 0), 1);
  return { row: rows[low].map((a, i) => a + share * (rows[high][i] - a)), index: share < 1 ? low : high };
}

/** Form, transport and chart of a run. */
export class Time {
  constructor(panel, transport, session, display, { changed }) {
    this.session = session;
    this.display = display;
    this.changed = changed;
    this.now = 0;
    this.playing = false;
    this._form(panel);
    this._transport(transport);
    session.addEventListener("scene", () => this._propose());
    display.addEventListener("change", () => this._chart());
    new ResizeObserver(() => this._chart()).observe(this.chart);
  }

  _form(panel) {
    this.length = el("input", {
      type: "text",
      id: "run-for",
      inputmode: "decimal",
      value: "1",
      autocomplete: "off",
    });
    this.changes = el("textarea", { id: "run-do", rows: 2, spellcheck: "false" });
    this.warning = el("p", { class: "refused", role: "alert" });
    this.start = el("button", { type: "submit", class: "main" }, "Run");
    const form = el(
      "form",
      { onsubmit: (event) => this._run(event) },
      el("label", { for: "run-for" }, "Seconds"),
      this.length,
      el("label", { for: "run-do" }, "What changes, one a line"),
      this.changes,
      this.start,
    );
    this.chart = el("div", { class: "chart", role: "img", "aria-label": "Pressures over time" });
    this.events = el("ol", { class: "events", "aria-label": "What happened when" });
    fill(panel, el("h2", {}, "Run in time"), form, this.warning, this.chart, this.events);
  }

  _transport(host) {
    this.play = el(
      "button",
      { type: "button", class: "main", disabled: true, onclick: () => this.toggle() },
      "Play",
    );
    this.scrub = el("input", {
      type: "range",
      min: 0,
      max: 1,
      step: "any",
      value: 0,
      disabled: true,
      "aria-label": "Time",
      oninput: () => this.go(Number(this.scrub.value)),
      onkeydown: (event) => this._scrubbed(event),
    });
    this.clock = el("output", { class: "clock" }, "0 s");
    this.speed = el(
      "select",
      { "aria-label": "Speed" },
      ...SPEEDS.map((speed) => el("option", { value: speed }, `${speed}x`)),
    );
    this.slow = el("input", { type: "checkbox", id: "slow", checked: true });
    fill(
      host,
      this.play,
      this.scrub,
      this.clock,
      this.speed,
      el("label", { for: "slow", class: "check" }, this.slow, "slow where something lifts or seats"),
    );
  }

  _scrubbed(event) {
    const way = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1 }[event.key];
    if (!way || !this.run) return;
    event.preventDefault();
    this.go(this.now + way * this.end * (event.shiftKey ? 0.001 : 0.01));
  }

  /** A first run worth looking at: the lever moved, or the first slider taken to its other end. */
  _propose() {
    this.stop();
    this.run = null;
    this.state = null;
    const { handles } = this.session.scene;
    const lever = handles.find(({ word }) => word === "lever");
    const first = lever ?? handles[0];
    if (!first || this.changes.value) return;
    const value = this.session.value(first.parameter);
    const other = lever ? (value ? 0 : 1) : value > (first.low + first.high) / 2 ? first.low : first.high;
    const said =
      `${Number(this.display.units.digits(other, first.kind))} ${this.display.units.unit(first.kind)}`.trimEnd();
    this.changes.value = `0.2 s over 0.05 s: ${first.word}=${said}`;
  }

  async _run(event) {
    event.preventDefault();
    this.stop();
    const duration = this.display.units.read(this.length.value, "time");
    const lines = this.changes.value
      .split("\n")
      .map((line) => line.trim())
      .filter(Boolean);
    this.warning.textContent = duration > 0 ? "" : "Seconds: a number above 0";
    if (!(duration > 0)) return;
    this.start.disabled = true;
    this.start.textContent = "Computing ...";
    try {
      this.run = await this.session.source.run(this.session.set, duration, lines, this.session.side);
      this.end = this.run.times.at(-1);
      if (!this.run.complete)
        this.warning.textContent = `The run stalls at ${this.end.toFixed(3)} s; this is as far as it went`;
      this.scrub.max = this.end;
      for (const control of [this.play, this.scrub]) control.disabled = false;
      this._list();
      this.go(0);
      this._chart();
      this.play.focus();
    } catch (error) {
      this.run = null;
      this.warning.textContent = error.message;
    }
    this.start.disabled = false;
    this.start.textContent = "Run";
  }

  _list() {
    const lines = this.run.events.map(({ time, part, what }) =>
      el(
        "li",
        {},
        el(
          "button",
          { type: "button", onclick: () => this.go(Math.max(time - AROUND / 4, 0)) },
          `${time.toFixed(4)} s: ${part} ${what}`,
        ),
      ),
    );
    fill(this.events, ...lines);
  }

  toggle() {
    if (this.playing) this.stop();
    else if (this.run) {
      if (this.now >= this.end) this.now = 0;
      this.playing = true;
      this.play.textContent = "Pause";
      this.last = performance.now();
      requestAnimationFrame((at) => this._tick(at));
    }
  }

  stop() {
    this.playing = false;
    this.play.textContent = "Play";
  }

  _tick(at) {
    if (!this.playing) return;
    const passed = Math.max(at - this.last, 0) / 1000;
    this.last = at;
    this.go(this.now + passed * this._speed());
    if (this.now >= this.end) this.stop();
    else requestAnimationFrame((next) => this._tick(next));
  }

  _speed() {
    const chosen = Number(this.speed.value);
    const near = this.run.events.some(({ time }) => Math.abs(time - this.now) < AROUND);
    return this.slow.checked && near ? Math.min(chosen, SLOW) : chosen;
  }

  /** Show the run at a time (s). */
  go(time) {
    this.now = Math.min(Math.max(time, 0), this.end);
    const { row, index } = between(this.run.times, this.run.values, this.now);
    const [, words] = this.run.words.findLast(([from]) => from <= index);
    const { statuses, findings } = this.run;
    this.state = { values: this.session.byName(row), statuses: statuses[index], findings: findings[index], words };
    this.scrub.value = this.now;
    const said = `${this.now.toFixed(3)} s`;
    this.scrub.setAttribute("aria-valuetext", said);
    this.clock.textContent = this.playing && this._speed() < Number(this.speed.value) ? `${said} slow` : said;
    this._cursor();
    this.changed();
  }

  _chart() {
    this.plot?.destroy();
    this.plot = null;
    fill(this.chart);
    const { clientWidth: width, clientHeight: height } = this.chart;
    if (!this.run || width < 80 || height < 80) return;
    const { units } = this.display;
    const chosen = this._chosen();
    const data = [
      this.run.times,
      ...chosen.map(({ i }) => this.run.values.map((row) => units.number(row[i], "pressure"))),
    ];
    const size = Math.round(parseFloat(getComputedStyle(this.chart).fontSize));
    const axis = {
      stroke: INK,
      font: `${size}px DejaVu Sans, Verdana, sans-serif`,
      labelFont: `${size}px DejaVu Sans, Verdana, sans-serif`,
      grid: { stroke: "#dcd9d0", width: 1 },
    };
    this.plot = new uPlot(
      {
        width,
        height,
        cursor: { show: false },
        legend: { show: false },
        scales: { x: { time: false } },
        axes: [
          { ...axis, label: "time, s", size: size * 2, labelSize: size * 1.5, space: size * 4 },
          { ...axis, label: `pressure, ${units.unit("pressure")}`, size: size * 4, labelSize: size * 1.7 },
        ],
        series: [
          {},
          ...chosen.map((_, k) => ({ stroke: PENS[k], width: 3, dash: DASHES[k], points: { show: false } })),
        ],
      },
      data,
      this.chart,
    );
    const keys = chosen.map(({ name }, k) => {
      const key = el("span", { class: "key", "aria-hidden": "true" });
      key.style.setProperty("--pen", PENS[k]);
      return el("li", { "data-dash": k }, key, name);
    });
    this.chart.append(el("ul", { class: "names" }, ...keys));
    this.line = el("div", { class: "cursor" });
    this.plot.over.append(this.line);
    this._cursor();
  }

  /** The pressures at the gauges, or those that move most; the first of chambers that move alike. */
  _chosen() {
    const { channels } = this.session.scene;
    const pressures = channels
      .map(({ name }, i) => ({ name: name.slice("pressure:".length), sort: name, i }))
      .filter(({ sort }) => sort.startsWith("pressure:"));
    const gauges = channels
      .map((channel, i) => ({ name: capital(channel.name.slice("reading:".length)), i, channel }))
      .filter(({ channel }) => channel.name.startsWith("reading:") && channel.kind === "pressure");
    if (gauges.length) return gauges.slice(0, PENS.length);
    const last = (i) => this.run.values.map((row) => row[i]);
    const ranked = pressures
      .map((each) => ({ ...each, moves: Math.max(...last(each.i)) - Math.min(...last(each.i)) }))
      .sort((a, b) => b.moves - a.moves);
    const most = ranked[0]?.moves ?? 0;
    const unlike = [];
    for (const each of ranked) {
      const apart = unlike.every(({ i }) =>
        this.run.values.some((row) => Math.abs(row[i] - row[each.i]) > 0.01 * most),
      );
      if (apart && unlike.length < PENS.length) unlike.push(each);
    }
    return unlike;
  }

  _cursor() {
    if (this.plot) this.line.style.transform = `translateX(${this.plot.valToPos(this.now, "x").toFixed(1)}px)`;
  }
}
