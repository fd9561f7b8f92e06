// Making elements: every text goes in as text, never as markup.

/** An element; `on...` functions become listeners, true and false switch an attribute, null leaves it out. */
export function el(tag, attributes = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (typeof value === "function") element.addEventListener(name.slice(2), value);
    else if (value === true) element.setAttribute(name, "");
    else if (value !== false && value !== null && value !== undefined) element.setAttribute(name, value);
  }
  element.append(...children.filter((child) => child !== null && child !== undefined));
  return element;
}

/** Replace what an element holds. */
export function fill(element, ...children) {
  element.replaceChildren(...children.filter((child) => child !== null && child !== undefined));
  return element;
}

/** "Main relief" from "main relief". */
export function capital(text) {
  return text ? text[0].toUpperCase() + text.slice(1) : text;
}

/** A function that waits until it has not been called for `pause` ms. */
export function settled(pause, act) {
  let timer = 0;
  return (...given) => {
    clearTimeout(timer);
    timer = setTimeout(() => act(...given), pause);
  };
}

/** Words of a handle: {valve, name}, so that "main relief.main orifice.diameter" can be read. */
export function handleWords({ word, parameter, group }) {
  const full = word.includes(".") || group === "adjusters" ? parameter : word;
  const pieces = full.split(".");
  return { valve: pieces.slice(0, -2).join(", "), name: capital(pieces.slice(-2).join(" ")) };
}

/** The same in one line. */
export function handleName(handle) {
  const { valve, name } = handleWords(handle);
  return valve ? `${name} (${valve})` : name;
}
