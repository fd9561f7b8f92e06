// What the sealed machine asks the server.  What is hidden stays there.

import { ServerSource, SourceError } from "../source.js";

export class SealedSource extends ServerSource {
  async bench() {
    return this._checked(await this._get("/api/sealed/bench"));
  }

  /** Seal the machine anew; without a seed one is drawn. */
  start(seed) {
    return this._do("start", { seed });
  }

  /** `text`: "pump gauge @ neutral", or any other wish in words. */
  ask(text) {
    return this._do("ask", { reading: text });
  }

  name(cause) {
    return this._do("name", { cause });
  }

  async _do(what, body) {
    return this._checked(await this._post(`/api/sealed/${what}`, body));
  }

  _checked(answer) {
    if (answer.problem) throw new SourceError(answer.problem);
    return answer;
  }
}
