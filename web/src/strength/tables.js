// Tables and tiles from plain values; whatever a plan says goes in as text.

import { el } from '../cage/dom.js';

/** @typedef {import('../types').Table} Table */
/** @typedef {import('../types').PushFigure} PushFigure */

/** @param {Table} table @returns {HTMLElement} a table in a region that scrolls by keyboard too */
export function plainTable({ title, columns, rows }) {
  const side = (/** @type {number} */ i) => (columns[i]?.align === 'right' ? 'numbers' : null);
  const table = el('table', { class: 'plain' },
    el('caption', { text: title }),
    el('thead', {}, el('tr', {}, columns.map((column, i) => el('th', { scope: 'col', class: side(i), text: column.head })))),
    el('tbody', {}, rows.map((row) => el('tr', {}, row.map((cell, i) => el(i ? 'td' : 'th', { class: side(i), scope: i ? null : 'row', text: cell }))))),
  );
  return scrolling(table, title);
}

/** @param {HTMLElement} table @param {string} words */
export const scrolling = (table, words) => el('div', { class: 'scroll', tabindex: 0, role: 'region', 'aria-label': words }, table);

/** @param {PushFigure[]} figures */
export function tileList(figures) {
  return el('dl', { class: 'tiles' }, figures.filter((one) => one.key !== 'stiffness').map(({ head, value, words }) => el('div', { class: 'tile' },
    el('dt', { text: head }),
    el('dd', {}, el('b', { class: sizeOf(value.said), text: value.said }), el('small', { text: value.value === null && value.why ? value.why : words })),
  )));
}

/** Long answers, such as ‘cannot tell’, are set smaller. @param {string} said */
const sizeOf = (said) => (said.length > 12 ? 'long' : null);
