// What is known of one part: its ledger as bars, its flow and lift, its records with meaning and source.

import { capital, el, fill } from "./dom.js";

const LEDGERS = [
  { sort: "force", heading: "What pushes it", plus: "opens", minus: "shuts" },
  { sort: "torque", heading: "What turns it", plus: "one way", minus: "other way" },
  { sort: "into", heading: "Oil into it", plus: "in", minus: "out" },
  { sort: "power", heading: "Power", plus: "gives", minus: "takes" },
];
const PLAIN = {
  pressure: "Pressure",
  lift: "Lift",
  share: "Share of its travel",
  compression: "Spring compressed by",
  turns: "Adjuster",
  position: "Position",
  speed: "Speed",
  reading: "Reads",
  flow: "Flow through it",
};

/** The panel of the part that was touched. */
export class PartPanel {
  constructor(host, { closed }) {
    this.host = host;
    this.closed = closed;
  }

  /** Write the panel of `name` as `session` has it now; `how` as a painter takes it. */
  show(name, session, how) {
    if (this.name !== name) this._frame(name, session.scene.parts[name]);
    const part = session.scene.parts[name] ?? { channels: [], records: [] };
    const byName = new Map(session.scene.channels.map((channel) => [channel.name, channel]));
    const channels = part.channels.map((each) => byName.get(each)).filter(Boolean);
    const status = session.frame?.statuses[name];
    const facts = channels.filter((c) => c.name.split(":")[0] in PLAIN).map((c) => fact(c, session.values, how));
    if (status) facts.unshift(pair("It is", how.quiet ? "?" : status));
    fill(this.facts, ...facts.flat());
    const laws = session.scene.laws ?? {};
    fill(
      this.ledgers,
      ...LEDGERS.map((ledger) => bars(ledger, channels, session.values, how, laws)),
      formulas(part, laws),
    );
    fill(this.records, ...records(part.records, how));
    const about = session.frame?.findings.filter(([where]) => where === name).map(([, text]) => text) ?? [];
    fill(this.findings, ...about.map((text) => el("p", { class: "finding" }, text)));
  }

  /** Take the panel away. */
  clear() {
    this.name = null;
    fill(this.host);
  }

  _frame(name, part) {
    this.name = name;
    const close = el(
      "button",
      { type: "button", class: "close", onclick: () => this.closed(), "aria-label": "Close the part" },
      "Close",
    );
    this.facts = el("dl", { class: "facts" });
    this.findings = el("div", {});
    this.ledgers = el("div", { class: "ledgers" });
    this.records = el("dl", { class: "records" });
    fill(
      this.host,
      el("header", {}, el("h2", {}, capital(name.split(".").at(-1))), close),
      el(
        "p",
        { class: "kind" },
        capital(part?.kind ?? ""),
        name.includes(".") ? ` of ${name.slice(0, name.lastIndexOf("."))}` : "",
      ),
      this.findings,
      this.facts,
      this.ledgers,
      part?.records.length ? el("details", {}, el("summary", {}, "Its numbers in the file"), this.records) : null,
      part?.about
        ? el(
            "details",
            {},
            el("summary", {}, "What it is"),
            ...part.about.split("\n\n").map((text) => el("p", {}, text)),
          )
        : null,
    );
  }
}

function pair(term, value) {
  return [el("dt", {}, term), el("dd", {}, value)];
}

function fact(channel, values, how) {
  const [sort, place] = channel.name.split(/:(.*)/s);
  const port = sort === "flow" && place.includes("@") ? ` at ${place.split("@").at(-1)}` : "";
  const shown = how.quiet ? "?" : how.units.show(values.get(channel.name), channel.kind);
  return pair(PLAIN[sort] + port, shown);
}

/** One ledger: a bar a line, to the right what opens (or comes in), to the left what shuts. */
function bars({ sort, heading, plus, minus }, channels, values, how, laws) {
  const lines = channels.filter((channel) => channel.name.startsWith(sort === "power" ? "power#" : `${sort}:`));
  if (!lines.length) return null;
  const sizes = lines.map((channel) => values.get(channel.name));
  const most = Math.max(...sizes.map(Math.abs), 1e-30);
  const rows = lines.map((channel, i) => {
    const bar = el("span", { class: `bar ${sizes[i] < 0 ? "minus" : "plus"}` });
    bar.style.setProperty("--size", how.quiet ? "0%" : `${(50 * Math.abs(sizes[i])) / most}%`);
    const value = how.quiet ? "?" : how.units.show(sizes[i], channel.kind);
    const way = how.quiet || Math.abs(sizes[i]) < 1e-9 * most ? "" : sizes[i] < 0 ? minus : plus;
    return el(
      "li",
      {},
      el("span", { class: "label" }, named(channel)),
      el("span", { class: "value" }, value, " ", el("small", {}, way)),
      el("span", { class: "track", "aria-hidden": "true" }, bar),
      channel.law ? el("span", { class: "law", title: laws[channel.law]?.form ?? "" }, channel.law) : null,
    );
  });
  const scale = el("p", { class: "ways", "aria-hidden": "true" }, el("span", {}, minus), el("span", {}, plus));
  return el("section", {}, el("h3", {}, heading), scale, el("ul", { class: "bars" }, ...rows));
}

/** "Pressure, back face": what a line is, and the part it comes from without the name of its valve. */
function named({ label, part }) {
  const from = part ? part.split(".").at(-1) : "";
  return capital([label === part ? "" : label, from].filter(Boolean).join(", "));
}

/** The laws behind what the part adds to the ledgers: form and source. */
function formulas(part, laws) {
  const known = (part.laws ?? []).filter((word) => laws[word]);
  if (!known.length) return null;
  const rows = known.flatMap((word) => [
    el("dt", {}, capital(word)),
    el("dd", {}, laws[word].form, el("small", {}, `Source: ${laws[word].source}`)),
  ]);
  return el("details", { open: true }, el("summary", {}, "Laws behind it"), el("dl", { class: "laws" }, ...rows));
}

function records(list, how) {
  return list.flatMap(({ name, value, kind, meaning, source }) => {
    const shown = typeof value === "number" && kind ? how.units.show(value, kind) : String(value);
    const why = [meaning, source].filter(Boolean).join(" - ");
    return [el("dt", {}, name), el("dd", {}, el("b", {}, shown), why ? el("small", {}, why) : null)];
  });
}
