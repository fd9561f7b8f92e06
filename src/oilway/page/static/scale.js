// The pressure scale: the twin of oilway/draw/colours.py, fed by the scene's stops.

/** Colours and hatches of gauge pressures (Pa) between 0 and `full`. */
export class Scale {
  constructor({ stops, hatches, full }) {
    this.stops = stops.map((code) => [1, 3, 5].map((i) => parseInt(code.slice(i, i + 2), 16)));
    this.hatches = hatches;
    this.full = full;
  }

  /** Place of a pressure on the scale, 0 to 1. */
  share(pressure) {
    return this.full > 0 ? Math.min(Math.max(pressure / this.full, 0), 1) : 0;
  }

  /** Colour of a pressure, "#fee838". */
  colour(pressure) {
    const place = this.share(pressure) * (this.stops.length - 1);
    const low = Math.min(Math.trunc(place), this.stops.length - 2);
    const mixed = this.stops[low].map((a, i) => {
      const b = this.stops[low + 1][i];
      return Math.trunc(a + (place - low) * (b - a) + 0.5)
        .toString(16)
        .padStart(2, "0");
    });
    return `#${mixed.join("")}`;
  }

  /** Band of the hatch, 0 (blank) to `hatches - 1`. */
  hatch(pressure) {
    return Math.min(Math.trunc(this.share(pressure) * this.hatches), this.hatches - 1);
  }
}
