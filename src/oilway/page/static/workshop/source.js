// What the workshop asks the server.  The server keeps nothing: each question brings the text with it.

import { LatestWins, ServerSource, SourceError } from "../source.js";

export class WorkshopSource extends ServerSource {
  constructor() {
    super();
    this.looking = new LatestWins((text) => this._post("/api/workshop/look", { text }));
  }

  forms() {
    return this._get("/api/workshop/forms");
  }

  start(name) {
    return this._do("start", { name });
  }

  seen(text) {
    return this._do("seen", { text });
  }

  /** The text after `change`: {what: "set" | "add" | "remove", path, value, name, keys}. */
  changed(text, change) {
    return this._do("changed", { text, do: change });
  }

  /** Pictures of a text; null when a newer text has taken its place. */
  look(text) {
    return this.looking.request(text);
  }

  save(name, text, was) {
    return this._do("save", { name, text, was });
  }

  goOn(name) {
    return this._do("open", { name });
  }

  async _do(what, body) {
    const answer = await this._post(`/api/workshop/${what}`, body);
    if (answer.problem) throw new SourceError(answer.problem);
    return answer;
  }
}
