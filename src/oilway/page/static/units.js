// Numbers as a technician writes them: the twin of oilway/quantity.py, fed by the scene's table of units.
// Values are SI; a unit appears only in what is shown or typed.

const EXTRA = 25; // digits that tell an exact tie from a number beside it

/** `size` with `places` digits after the point; exact halves go to the even digit, as Python writes them. */
export function fixed(size, places) {
  const text = size.toFixed(places);
  const long = size.toFixed(places + EXTRA);
  const cut = long.slice(0, -EXTRA).replace(/\.$/, "");
  const tie = long.slice(-EXTRA) === "5".padEnd(EXTRA, "0");
  return tie && "02468".includes(cut.at(-1)) ? cut : text;
}

/** Shows and reads quantities in the units chosen, "shop" or "metric". */
export class Units {
  constructor(tables, chosen = "shop") {
    this.tables = tables;
    this.chosen = chosen;
  }

  /** How a kind is shown: its unit, factor, offset, decimals, finer. */
  row(kind) {
    return this.tables[this.chosen][kind];
  }

  /** The value in its display unit, not rounded. */
  number(value, kind) {
    const row = this.row(kind);
    return (value - row.offset) / row.factor;
  }

  /** The unit shown, empty for plain numbers. */
  unit(kind) {
    return this.row(kind).unit;
  }

  /** The digits alone; small lengths, flows and the like get more of them, plain numbers none that say nothing. */
  digits(value, kind) {
    const { decimals, finer, unit } = this.row(kind);
    const size = this.number(value, kind);
    const finest = Number(`1e${-(decimals + finer)}`);
    let places = decimals;
    if (Math.abs(size) >= finest) {
      while (Math.abs(size) < Number(`1e${1 - places}`) && Number(`1e${-places}`) > finest) places += 1;
    }
    let text = fixed(size, places);
    if (!unit && places) text = text.replace(/\.?0+$/, "");
    return Number(text) === 0 ? text.replace("-", "") : text;
  }

  /** The value with its unit, "2950 psi". */
  show(value, kind) {
    return `${this.digits(value, kind)} ${this.unit(kind)}`.trimEnd();
  }

  /** SI value of "2100", "2,100 psi" or "145 bar": a number, bare or with a unit that the page shows; else NaN. */
  read(text, kind) {
    const match = /^\s*([-+−]?[\d.,]*\d[\d.]*(?:e[-+]?\d+)?)\s*(.*?)\s*$/i.exec(text);
    if (!match) return NaN;
    const plain = match[1].replace("−", "-");
    if (plain.includes(",") && !/^[-+]?\d{1,3}(,\d{3})+(\.\d*)?$/.test(plain)) return NaN;
    const named = match[2].toLowerCase();
    const rows = [this.row(kind), ...Object.values(this.tables).map((table) => table[kind])];
    const row = named ? rows.find((each) => each.unit.toLowerCase() === named) : rows[0];
    return row ? Number(plain.replaceAll(",", "")) * row.factor + row.offset : NaN;
  }
}
