// Small helpers for what scripts put on a page.

// make builds an element. Text goes in as text, never as markup.
export function make(tag, properties, ...inside) {
  const e = Object.assign(document.createElement(tag), properties);
  e.append(...inside);
  return e;
}

export function button(text, press, className = "") {
  const b = make("button", { type: "button", textContent: text, className });
  b.addEventListener("click", press);
  return b;
}

export function count(n, noun) { return n === 1 ? `1 ${noun}` : `${n} ${noun}s`; }
