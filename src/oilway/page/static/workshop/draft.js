// The text that is being written, every text before it, and what of it is on the disk.

const STORE = "oilway-workshop";
const KEPT = 200; // texts to go back through

/** Tells "text" whenever there is another text to show. */
export class Draft extends EventTarget {
  constructor(source, storage = sessionStorage) {
    super();
    this.source = source;
    this.storage = storage;
    this.steps = []; // {text, name}: name of the file that it is, empty for a new one
    this.at = -1;
    this.disk = {}; // by name: {text, was} as it was last read or written
    this.turn = Promise.resolve();
    this.tree = {};
    this.problems = [];
  }

  get text() {
    return this.steps[this.at]?.text ?? "";
  }

  get name() {
    return this.steps[this.at]?.name ?? "";
  }

  get unsaved() {
    return this.at >= 0 && this.disk[this.name]?.text !== this.text;
  }

  get canUndo() {
    return this.at > 0;
  }

  get canRedo() {
    return this.at < this.steps.length - 1;
  }

  get isValve() {
    return "valve" in this.tree && !("machine" in this.tree);
  }

  /** Begin with a blank, an example or a file; what was written before is one undo away. */
  start(name) {
    return this._inTurn(async () => {
      const answer = await this.source.start(name);
      const file = name.endsWith(".yaml") ? name : "";
      this.disk[file] = { text: answer.text, was: answer.was ?? "" };
      this._push(answer, file);
    });
  }

  /** Make one change; refused ones throw, and nothing has changed. */
  change(change) {
    return this._inTurn(async () => this._push(await this.source.changed(this.text, change), this.name));
  }

  /** Take over a text as it was typed. */
  write(text) {
    return this._inTurn(async () => {
      if (text !== this.text) this._push(await this.source.seen(text), this.name);
    });
  }

  /** Go back (-1) or forward (1) by one text. */
  step(by) {
    return this._inTurn(async () => {
      const next = this.steps[this.at + by];
      if (!next) return;
      const answer = await this.source.seen(next.text);
      this.at += by;
      this._tell(answer);
    });
  }

  /** Write it to the disk under a name. */
  save(name) {
    return this._inTurn(async () => {
      const { was } = await this.source.save(name, this.text, this.disk[name]?.was ?? "");
      this.disk[name] = { text: this.text, was };
      this.steps[this.at] = { text: this.text, name };
      this._keep();
      this.dispatchEvent(new Event("text"));
    });
  }

  /** What was being written before this page was loaded again; false where there is nothing. */
  async restore() {
    const kept = JSON.parse(this.storage.getItem(STORE) ?? "null");
    if (!kept) return false;
    Object.assign(this, kept);
    this._tell(await this.source.seen(this.text));
    return true;
  }

  _push(answer, name) {
    this.steps = [...this.steps.slice(0, this.at + 1), { text: answer.text, name }].slice(-KEPT);
    this.at = this.steps.length - 1;
    this._tell(answer);
  }

  _tell(answer) {
    this.tree = answer.tree;
    this.problems = answer.problems;
    this._keep();
    this.dispatchEvent(new Event("text"));
  }

  _keep() {
    const { steps, at, disk } = this;
    try {
      this.storage.setItem(STORE, JSON.stringify({ steps, at, disk }));
    } catch {
      // the store of the browser is full: the older texts go first
      this.storage.setItem(
        STORE,
        JSON.stringify({ steps: [steps[at]], at: 0, disk: { [this.name]: disk[this.name] } }),
      );
    }
  }

  /** One after the other: each change is made to the text that the one before has left. */
  _inTurn(act) {
    const done = this.turn.then(act);
    this.turn = done.catch(() => {});
    return done;
  }
}
