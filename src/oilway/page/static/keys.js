// The keys, in one list: what the page listens to and what its help shows.

import { el, fill } from "./dom.js";

export const KEYS = [
  { keys: ["1", "2", "3", "4", "5"], shown: "1 to 5", says: "Picture, curve, two side by side, steps, time" },
  { keys: ["c", "C"], shown: "C", says: "Next picture: the circuit, or another valve cut open" },
  { keys: ["PageDown"], shown: "Page Down", says: "Steps: show the answer, then go on" },
  { keys: ["PageUp"], shown: "Page Up", says: "Steps: go back" },
  { keys: [" "], shown: "Space", says: "Steps: as Page Down. Time: play and pause" },
  { keys: ["a", "A"], shown: "A", says: "Steps: the answer" },
  { keys: ["f", "F"], shown: "F", says: "Freeze the picture while sliders are set for the next question" },
  { keys: ["n", "N"], shown: "N", says: "Hide the numbers, show them again" },
  { keys: ["b", "B"], shown: "B", says: "Big text for the back row" },
  { keys: ["u", "U"], shown: "U", says: "psi and gpm, or bar and L/min" },
  { keys: ["p", "P"], shown: "P", says: "Hatch over the colours, as in print" },
  { keys: ["z", "Z"], shown: "Z", says: "The picture larger, to be scrolled" },
  { keys: ["s", "S"], shown: "S", says: "To the sliders; left and right change, with Shift finely" },
  { keys: ["g", "G"], shown: "G", says: "Next group of sliders" },
  { keys: ["r", "R"], shown: "R", says: "Everything as in the file" },
  { keys: ["Escape"], shown: "Esc", says: "Close the part, the help" },
  { keys: ["?"], shown: "?", says: "These keys" },
];

/** Calls `act(key)` for the keys of the list, unless a text is being typed or a control needs the key itself. */
export function listen(act) {
  const known = new Set(KEYS.flatMap(({ keys }) => keys));
  document.addEventListener("keydown", (event) => {
    if (event.defaultPrevented || event.ctrlKey || event.altKey || event.metaKey) return;
    const { target, key } = event;
    const typing = target.matches?.("input:not([type=range]):not([type=checkbox]), textarea, select");
    if (!known.has(key) || (typing && key !== "Escape") || document.querySelector("dialog[open]")) return;
    if (key === " " && target.matches?.("button, summary, input")) return;
    if (act(key.length === 1 ? key.toLowerCase() : key)) event.preventDefault();
  });
}

/** The list of keys as a dialog. */
export function helpDialog() {
  const rows = KEYS.flatMap(({ shown, says }) => [el("dt", {}, el("kbd", {}, shown)), el("dd", {}, says)]);
  const dialog = el("dialog", { "aria-label": "Keys" });
  const close = el("button", { type: "button", onclick: () => dialog.close() }, "Close");
  fill(dialog, el("h2", {}, "Keys"), el("dl", {}, ...rows), close);
  return dialog;
}
