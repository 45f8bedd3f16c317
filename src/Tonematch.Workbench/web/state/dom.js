// Making elements. Texts are texts, never markup.
// @ts-check

/**
 * An element.
 * @param {string} tag 'button.main' has a class
 * @param {Record<string, any>} props attributes; functions are listeners; `value`, `checked`, `disabled`, `hidden` are properties
 * @param {...any} children elements, texts, lists of them; null and false are left out
 * @returns {any} an element of the tag's own kind
 */
export function h(tag, props = {}, ...children) {
  const [name, ...classes] = tag.split('.');
  const e = document.createElement(name);
  if (classes.length) { e.className = classes.join(' '); }
  for (const [key, value] of Object.entries(props)) {
    if (typeof value === 'function') { e.addEventListener(key, value); }
    else if (['value', 'checked', 'disabled', 'hidden', 'selected'].includes(key)) { e[key] = value; }
    else if (value === true) { e.setAttribute(key, ''); }
    else if (value !== null && value !== undefined && value !== false) { e.setAttribute(key, String(value)); }
  }
  add(e, children);
  return e;
}

/** The same in SVG. */
export function s(tag, props = {}, ...children) {
  const e = document.createElementNS('http://www.w3.org/2000/svg', tag);
  for (const [key, value] of Object.entries(props)) {
    if (typeof value === 'function') { e.addEventListener(key, value); }
    else if (value !== null && value !== undefined && value !== false) { e.setAttribute(key, String(value)); }
  }
  add(e, children);
  return e;
}

function add(e, children) {
  for (const c of children.flat(4)) {
    if (c !== null && c !== undefined && c !== false) { e.append(c); }
  }
}

/** Puts new children in place of the old; what had the focus and has the same `data-key` has it again. */
export function fill(parent, ...children) {
  const key = parent.contains(document.activeElement) ? document.activeElement?.getAttribute('data-key') : null;
  const scroll = parent.scrollTop;
  parent.replaceChildren();
  add(parent, children);
  parent.scrollTop = scroll;
  if (key) { parent.querySelector(`[data-key="${CSS.escape(key)}"]`)?.focus({ preventScroll: true }); }
}

/** Hours:minutes:seconds with tenths, as short as it can be. */
export function clock(seconds) {
  const sign = seconds < 0 ? '-' : '', t = Math.abs(seconds);
  const hours = Math.floor(t / 3600), minutes = Math.floor(t / 60) % 60, rest = (t % 60).toFixed(2).padStart(5, '0');
  return `${sign}${hours ? `${hours}:${String(minutes).padStart(2, '0')}` : minutes}:${rest}`;
}

/** A Delta E as it is written everywhere. */
export const dE = (/** @type {number|null|undefined} */ v) => v === null || v === undefined || Number.isNaN(v) ? '–' : v.toFixed(2);
