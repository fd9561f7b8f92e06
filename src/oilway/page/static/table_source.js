// Numbers out of a table inside the file: every node is a solved state, and between nodes they are interpolated.
// The same interface as ServerSource, without what needs a solver: no runs, no files, no other adjustments.

import { SourceError } from "./source.js";

const ELSEWHERE = "This file has no numbers for that";

/** The tables of a lesson; `data` as lesson_page.py writes it. */
export class TableSource {
  constructor(data) {
    this.data = data;
    this.sides = { a: data.first };
  }

  /** The scene of a side, or of a variant by its name. */
  async scene(side = "a") {
    const variant = this._variant(side);
    variant.table &&= await unpacked(variant.table, variant.scene.channels.length);
    return variant.scene;
  }

  async frame(set, side = "a") {
    const variant = this._variant(side);
    const { scene, stops, table } = variant;
    const stop = scene.lesson.stops.findIndex((each, i) => stops[i] && same(each.set, set));
    if (stop >= 0) return stops[stop];
    if (!Object.keys(set).length) return scene.frame;
    return table ? looked(table, settings(scene, table, set)) : { problem: { what: ELSEWHERE, hint: "" } };
  }

  /** The curves do not depend on what the sliders of a lesson move, or stay as they were made. */
  async curves(set, side = "a") {
    return { curves: this._variant(side).scene.curves };
  }

  /** What may stand on side b: the other variants of the lesson. */
  async swaps() {
    return { swaps: [{ key: "variant", others: Object.keys(this.data.variants) }], b: null };
  }

  async side({ variant }) {
    this.sides.b = variant;
    return this.scene("b");
  }

  _variant(side) {
    const found = this.data.variants[this.sides[side] ?? side];
    if (!found) throw new SourceError({ what: ELSEWHERE, hint: "" });
    return found;
  }
}

/** The table with its numbers as one array: channel by channel, first slider by second. */
async function unpacked(table, channels) {
  if (typeof table.values !== "string") return table;
  const bytes = Uint8Array.from(atob(table.values), (letter) => letter.charCodeAt(0));
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
  const values = new Float32Array(await new Response(stream).arrayBuffer());
  const across = table.nodes[0].length;
  return { ...table, values, channels, across, down: values.length / channels / across };
}

function same(one, other) {
  const keys = Object.keys(one);
  return keys.length === Object.keys(other).length && keys.every((key) => one[key] === other[key]);
}

/** Where each slider of a table stands; null when something else is set that the table does not hold. */
function settings(scene, table, set) {
  const base = scene.frame.point;
  const handles = new Map(scene.handles.map((handle) => [handle.parameter, handle]));
  const foreign = Object.keys(set).filter((name) => !table.parameters.includes(name));
  if (foreign.some((name) => base[name] !== undefined ? base[name] !== set[name] : true)) return null;
  return table.parameters.map((name) => set[name] ?? base[name] ?? handles.get(name).value);
}

/** The state at some settings, interpolated between its neighbours; what is said is that of the nearest node. */
export function looked(table, at) {
  if (!at) {
    const hint = "the sliders move the machine as its file has it; 'oilway open' computes everything else";
    return { problem: { what: ELSEWHERE, hint } };
  }
  const places = table.nodes.map((axis, k) => place(axis, at[k]));
  const [i, u] = places[0];
  const [j, v] = places[1] ?? [0, 0];
  const { across, down } = table;
  const saidAt = (a, b) => table.said[table.points[a * down + b]];
  const corners = [[i, j, (1 - u) * (1 - v)], [i + 1, j, u * (1 - v)], [i, j + 1, (1 - u) * v], [i + 1, j + 1, u * v]]
    .filter(([, , weight]) => weight > 0);
  const said = [saidAt(Math.round(i + u), Math.round(j + v)), ...corners.map(([a, b]) => saidAt(a, b))];
  const broken = said.find(({ problem }) => problem);
  if (broken) return { problem: broken.problem };
  const values = Array.from({ length: table.channels }, (_, c) =>
    corners.reduce((sum, [a, b, weight]) => sum + weight * table.values[(c * across + a) * down + b], 0));
  return { seq: 0, point: {}, values, ...said[0] };
}

/** Index of the node below a value, and how far it is on the way to the next, from 0 to 1. */
function place(axis, value) {
  const held = Math.min(Math.max(value, axis[0]), axis[axis.length - 1]);
  let low = 0;
  while (low < axis.length - 2 && axis[low + 1] <= held) low += 1;
  return [low, (held - axis[low]) / (axis[low + 1] - axis[low])];
}
