// What the form asks the server, which keeps everything in three CSV files.

import { LatestWins, ServerSource } from "../source.js";

export class EnterSource extends ServerSource {
  constructor() {
    super();
    this.checking = new LatestWins((student, field, typed) => this._ask("check", { student, field, typed }));
  }

  state(student = "") {
    return this._get(`/api/enter?${new URLSearchParams({ student })}`);
  }

  /** How many keys are solved: {ready, of}. */
  ahead() {
    return this._get("/api/enter/ahead");
  }

  /** Whose sheet bears a code. */
  find(code) {
    return this._ask("find", { code });
  }

  /** What an answer that is being typed is worth; null when a newer one has taken its place. */
  check(student, field, typed) {
    return this.checking.request(student, field, typed);
  }

  put(student, field, typed, was) {
    return this._ask("put", { student, field, typed, was });
  }

  override(student, item, marks, reason, was) {
    return this._ask("override", { student, item, marks, reason, was });
  }

  _ask(what, body) {
    return this._post(`/api/enter/${what}`, body);
  }
}
