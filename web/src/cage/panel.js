/** Draws a part of the page anew without taking the keyboard away from the builder. */

import { fill } from './dom.js';

/**
 * The holder with new children; the field of the same key keeps the keyboard, and the panel its scroll.
 * @param {HTMLElement} holder
 * @param {...import('./dom.js').Child} children
 */
export function redraw(holder, ...children) {
  const at = /** @type {HTMLElement|null} */ (holder.contains(document.activeElement) ? document.activeElement : null);
  const key = at?.dataset.key;
  const down = holder.scrollTop;
  fill(holder, ...children);
  holder.scrollTop = down;
  if (key) withKey(holder, key)?.focus({ preventScroll: true });
}

/** @param {HTMLElement} holder @param {string} key @returns {HTMLElement|null} */
export const withKey = (holder, key) => [...holder.querySelectorAll('[data-key]')].map((e) => /** @type {HTMLElement} */ (e)).find((e) => e.dataset.key === key) ?? null;
