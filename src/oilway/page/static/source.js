// Where numbers come from.  Views know only this interface, so that a table inside a file can stand in for a
// server: scene(side), frame(set, side), curves(set, side), run(set, duration, changes, side), swaps(),
// side(changes, file), listen(handlers), drawing(picture, format, display, set, side).

/** What went wrong, in the words of the server. */
export class SourceError extends Error {
  constructor(problem) {
    super([problem.what, problem.hint].filter(Boolean).join("; "));
    this.problem = problem;
  }
}

/** Keeps one request in flight and only the newest of those that wait; the others resolve to null. */
export class LatestWins {
  constructor(ask) {
    this.ask = ask;
    this.busy = false;
    this.waiting = null;
  }

  /** The answer, or null when a newer question has taken this one's place. */
  request(...question) {
    return new Promise((resolve, reject) => {
      this.waiting?.resolve(null);
      this.waiting = { question, resolve, reject };
      if (!this.busy) this._next();
    });
  }

  async _next() {
    const { question, resolve, reject } = this.waiting;
    this.waiting = null;
    this.busy = true;
    try {
      resolve(await this.ask(...question));
    } catch (error) {
      reject(error);
    }
    this.busy = false;
    if (this.waiting) this._next();
  }
}

/** A server of `oilway open`. */
export class ServerSource {
  constructor() {
    this.pages = [
      ["/plan", "Set it"],
      ["/sealed", "Sealed"],
      ["/workshop", "New / edit"],
    ];
    this.seq = 0;
    this.frames = {};
    this.curving = {};
  }

  scene(side = "a") {
    return this._get(`/api/scene?side=${side}`);
  }

  frame(set, side = "a") {
    this.frames[side] ??= new LatestWins((values) => {
      this.seq += 1;
      return this._post("/api/frame", { seq: this.seq, side, set: values });
    });
    return this.frames[side].request(set);
  }

  curves(set, side = "a") {
    this.curving[side] ??= new LatestWins((values) => this._post("/api/curves", { side, set: values }));
    return this.curving[side].request(set);
  }

  run(set, duration, changes, side = "a") {
    return this._post("/api/run", { side, set, for: duration, do: changes });
  }

  /** What side b could have instead: {swaps: [{key, now, others}], b: how it was asked for, or null}. */
  swaps() {
    return this._get("/api/swaps");
  }

  /** Put side b up: changes of the same file, or another file. */
  side(changes, file = "") {
    return this._post("/api/side", { changes, file });
  }

  /** Tell the class what is shown. */
  shown(what) {
    return this._post("/api/shown", what);
  }

  /** `changed` and `broken` are called as the file changes; `lost` and `found` as the server goes and comes. */
  listen({ changed, broken, lost, found, desk }) {
    const events = new EventSource("/api/events");
    events.addEventListener("changed", () => changed());
    events.addEventListener("broken", (event) => broken(JSON.parse(event.data)));
    events.addEventListener("do", (event) => desk(JSON.parse(event.data).do));
    events.onerror = () => lost();
    events.onopen = () => found();
  }

  /** Address of a picture as a file. */
  drawing(picture, format, { units, hatched }, set, side = "a") {
    const values = { units: units.chosen, hatched: hatched ? "1" : "0", side, set: JSON.stringify(set) };
    const query = new URLSearchParams({ picture, format, ...values });
    return `/api/draw?${query}`;
  }

  async _get(path) {
    return this._read(await fetch(path));
  }

  async _post(path, body) {
    const headers = { "Content-Type": "application/json" };
    return this._read(await fetch(path, { method: "POST", headers, body: JSON.stringify(body) }));
  }

  async _read(response) {
    const answer = await response.json().catch(() => ({ problem: { what: response.statusText } }));
    if (!response.ok) throw new SourceError(answer.problem ?? { what: response.statusText });
    return answer;
  }
}
