// Tables and tiles from plain values; whatever a plan says goes in as text.

import { el } from '../cage/dom.js';

/** @typedef {{title: string, heads: {text: string, right: boolean}[], rows: string[][]}} TableData */
/** @typedef {{label: string, value: string, unit: string, words: string}} Tile */

/** @param {TableData} table @returns {HTMLElement} a table in a region that scrolls by keyboard too */
export function plainTable({ title, heads, rows }) {
  const side = (/** @type {number} */ i) => (heads[i]?.right ? 'numbers' : null);
  const table = el('table', { class: 'plain' },
    el('caption', { text: title }),
    el('thead', {}, el('tr', {}, heads.map((head, i) => el('th', { scope: 'col', class: side(i), text: head.text })))),
    el('tbody', {}, rows.map((row) => el('tr', {}, row.map((cell, i) => el(i ? 'td' : 'th', { class: side(i), scope: i ? null : 'row', text: cell }))))),
  );
  return scrolling(table, title);
}

/** @param {HTMLElement} table @param {string} words */
export const scrolling = (table, words) => el('div', { class: 'scroll', tabindex: 0, role: 'region', 'aria-label': words }, table);

/** @param {Tile[]} tiles */
export function tileList(tiles) {
  return el('dl', { class: 'tiles' }, tiles.map((tile) => el('div', { class: 'tile' },
    el('dt', { text: tile.label }),
    el('dd', {}, el('b', { class: sizeOf(tile.value), text: tile.value }), tile.unit ? ` ${tile.unit}` : null, el('small', { text: tile.words })),
  )));
}

/** Long answers, such as ‘cannot tell’, are set smaller. @param {string} value */
const sizeOf = (value) => (value.length > 9 ? 'long' : null);
