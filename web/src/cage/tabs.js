/** The tables beside the picture, one at a time. */

import { byId } from './dom.js';

/** @typedef {{open: (name: string) => void, now: () => string}} Tabs */

/**
 * Makes the tab list of the template work: arrows walk, Enter and the pointer open.
 * @param {HTMLElement} list role tablist, its tabs with aria-controls
 * @param {(name: string) => void} onOpen
 * @returns {Tabs}
 */
export function tabs(list, onOpen) {
  const all = /** @type {HTMLButtonElement[]} */ ([...list.querySelectorAll("[role='tab']")]);
  const panel = (/** @type {HTMLButtonElement} */ tab) => byId(tab.getAttribute('aria-controls') ?? '');
  const open = (/** @type {string} */ name) => {
    for (const tab of all) {
      const is = tab.dataset.tab === name;
      tab.setAttribute('aria-selected', String(is));
      tab.tabIndex = is ? 0 : -1;
      panel(tab).hidden = !is;
    }
    document.body.dataset.tab = name;
    onOpen(name);
  };
  for (const tab of all) tab.addEventListener('click', () => open(tab.dataset.tab ?? ''));
  list.addEventListener('keydown', (event) => {
    const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (!step) return;
    const here = all.findIndex((tab) => tab.getAttribute('aria-selected') === 'true');
    const next = all[(here + step + all.length) % all.length];
    open(next.dataset.tab ?? '');
    next.focus();
  });
  return { open, now: () => all.find((tab) => tab.getAttribute('aria-selected') === 'true')?.dataset.tab ?? '' };
}
