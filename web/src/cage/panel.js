/** Draws a part of the page anew without taking the keyboard away from the builder. */

import { fill } from './dom.js';

/**
 * The holder with new children; the field of the same key keeps the keyboard and what is half typed in it, and the
 * panel its scroll.
 * @param {HTMLElement} holder
 * @param {...import('./dom.js').Child} children
 */
export function redraw(holder, ...children) {
  const at = /** @type {HTMLElement|null} */ (holder.contains(document.activeElement) ? document.activeElement : null);
  const half = at instanceof HTMLInputElement && at.dataset.typed === 'yes' ? at.value : null;
  const down = holder.scrollTop;
  fill(holder, ...children);
  holder.scrollTop = down;
  const next = at?.dataset.key ? withKey(holder, at.dataset.key) : null;
  next?.focus({ preventScroll: true });
  if (half === null || !(next instanceof HTMLInputElement)) return;
  next.value = half; // after the focus: the field takes what stands in it then as what it was
  next.dataset.typed = 'yes';
  next.setSelectionRange(half.length, half.length);
}

/** @param {HTMLElement} holder @param {string} key @returns {HTMLElement|null} */
export const withKey = (holder, key) => [...holder.querySelectorAll('[data-key]')].map((e) => /** @type {HTMLElement} */ (e)).find((e) => e.dataset.key === key) ?? null;
