/** A table whose rows are chosen with the pointer or the arrows; one row has the keyboard at a time. */

import { el } from './dom.js';

/**
 * @typedef {object} Row
 * @property {string} key
 * @property {(Node|string)[]} cells the first is the row's name
 * @property {boolean} [chosen]
 * @property {string} [kind] worst of its findings
 */

/**
 * @typedef {object} Table
 * @property {string} caption
 * @property {string[]} heads
 * @property {Row[]} rows
 * @property {(key: string, more: boolean) => void} onChoose
 * @property {string} [empty] what is said where there is none
 */

/** @param {Table} table */
export function tableOf(table) {
  const body = el('tbody', {}, table.rows.map((row) => line(row, table)));
  if (!table.rows.length) body.append(el('tr', {}, el('td', { colspan: table.heads.length, class: 'cage-empty' }, table.empty ?? 'None.')));
  const first = body.querySelector("[aria-selected='true']") ?? body.querySelector('tr[data-row]');
  first?.setAttribute('tabindex', '0');
  body.addEventListener('keydown', (event) => walk(event, body, table));
  return el('table', { class: 'cage-table', role: 'grid', 'aria-multiselectable': 'true' },
    el('caption', { text: table.caption }),
    el('thead', {}, el('tr', {}, table.heads.map((head) => el('th', { scope: 'col', text: head })))),
    body);
}

/** @param {Row} row @param {Table} table */
function line(row, table) {
  const [name, ...rest] = row.cells;
  return el('tr', {
    role: 'row', tabindex: '-1', 'data-row': row.key, 'data-key': `row ${row.key}`, 'data-kind': row.kind,
    'aria-selected': String(row.chosen ?? false),
    onclick: (/** @type {MouseEvent} */ event) => table.onChoose(row.key, event.shiftKey || event.ctrlKey || event.metaKey),
  }, el('th', { scope: 'row', role: 'rowheader' }, name), rest.map((cell) => el('td', { role: 'gridcell' }, cell)));
}

/** @param {KeyboardEvent} event @param {HTMLElement} body @param {Table} table */
function walk(event, body, table) {
  const rows = /** @type {HTMLElement[]} */ ([...body.querySelectorAll('tr[data-row]')]);
  const here = rows.indexOf(/** @type {HTMLElement} */ (document.activeElement));
  if (here < 0 || event.ctrlKey || event.metaKey || event.altKey) return;
  const to = { ArrowDown: here + 1, ArrowUp: here - 1, Home: 0, End: rows.length - 1, PageDown: here + 8, PageUp: here - 8 }[event.key];
  if (to !== undefined) {
    event.preventDefault();
    go(rows, Math.min(rows.length - 1, Math.max(0, to)), table, event.shiftKey);
  } else if (event.key === 'Enter' || event.key === ' ') {
    event.preventDefault();
    table.onChoose(rows[here].dataset.row ?? '', event.shiftKey);
  }
}

/** @param {HTMLElement[]} rows @param {number} to @param {Table} table @param {boolean} more */
function go(rows, to, table, more) {
  for (const row of rows) row.tabIndex = -1;
  rows[to].tabIndex = 0;
  rows[to].focus();
  table.onChoose(rows[to].dataset.row ?? '', more);
}

/**
 * Show in a table that is there already which rows are chosen.
 * @param {HTMLElement} holder
 * @param {Set<string>} chosen
 */
export function showChosen(holder, chosen) {
  let first = /** @type {HTMLElement|null} */ (null);
  const rows = /** @type {HTMLElement[]} */ ([...holder.querySelectorAll('tr[data-row]')]);
  for (const row of rows) {
    const is = chosen.has(row.dataset.row ?? '');
    row.setAttribute('aria-selected', String(is));
    if (is && !first) first = row;
  }
  if (!first) return;
  for (const row of rows) row.tabIndex = row === first ? 0 : -1;
  if (document.activeElement !== first) first.scrollIntoView({ block: 'nearest' });
}
