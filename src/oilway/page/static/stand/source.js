// What the test stand asks the server, which keeps everything in the readings file.

import { LatestWins, ServerSource } from "../source.js";

export class StandSource extends ServerSource {
  constructor() {
    super();
    this.units = sessionStorage.getItem("oilway-units") ?? "shop";
    this.checking = new LatestWins((id, typed) => this._ask("check", { id, typed }));
  }

  state() {
    return this._get(`/api/stand?units=${this.units}`);
  }

  /** What is odd about an answer that is being typed; null when a newer one has taken its place. */
  check(id, typed) {
    return this.checking.request(id, typed);
  }

  put(id, typed, was) {
    return this._ask("put", { id, typed, was });
  }

  undo() {
    return this._ask("undo", {});
  }

  store() {
    return this._ask("store", {});
  }

  /** Address of the printed sheet or of the chart as the file is now. */
  address(what, was) {
    return `/api/stand/${what}?${new URLSearchParams({ units: this.units, was })}`;
  }

  otherUnits() {
    this.units = this.units === "shop" ? "metric" : "shop";
    sessionStorage.setItem("oilway-units", this.units);
  }

  _ask(what, body) {
    return this._post(`/api/stand/${what}?units=${this.units}`, body);
  }
}
