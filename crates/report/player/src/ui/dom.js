// Small makers of page elements; text never becomes markup.

/// Element with attributes and children; strings become text.
export function el(name, attributes = {}, ...children) {
  const e = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value === undefined || value === null || value === false) continue;
    if (key.startsWith("on")) e.addEventListener(key.slice(2), value);
    else e.setAttribute(key, value === true ? "" : value);
  }
  e.append(...children);
  return e;
}

/// The same in SVG.
export function svg(name, attributes = {}, ...children) {
  const e = document.createElementNS("http://www.w3.org/2000/svg", name);
  for (const [key, value] of Object.entries(attributes)) e.setAttribute(key, value);
  e.append(...children);
  return e;
}

/// Sets text only where it changed: assistive technology is not told the same twice.
export function say(node, text) {
  if (node.textContent !== text) node.textContent = text;
}
