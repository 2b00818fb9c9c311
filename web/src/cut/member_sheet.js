// Everything the shop is told of one member, on one sheet: its cut, saws, bends, wraps and welds.

import { el } from '../cage/dom.js';
import { heading, sheetPaper, tableBlock, wrapPart } from './sheet.js';

/** @typedef {import('./sheet.js').Sheets} Sheets */
/** @typedef {import('./sheet.js').Table} Table */

/**
 * @param {string} name
 * @param {Sheets} all
 */
export function memberSheet(name, all) {
  const bend = all.sheets.find((sheet) => sheet.member === name);
  const wraps = all.wraps.filter((wrap) => wrap.member === name);
  const own = el('article', { class: 'sheet', 'aria-label': name }, heading(name, all),
    tablesOf(name, all).map(tableBlock),
    wraps.length ? el('div', { class: 'wraps-of' }, wraps.map(wrapPart)) : el('p', { class: 'quiet', text: 'Both ends are sawn square: no wrap.' }));
  return [own, bend ? sheetPaper(bend, all) : null];
}

/** The rows that are about the member, as facts where it is one row. @param {string} name @param {Sheets} all @returns {Table[]} */
function tablesOf(name, all) {
  const cut = table(all, 'cut_list', 0, (row) => row[0] === name);
  const saws = table(all, 'cut_list', 1, (row) => row[0] === name);
  const welds = table(all, 'weld_map', 0, (row) => (row[2] ?? '').split(', ').includes(name));
  return [cut && asFacts(cut), saws, welds].filter((one) => one !== null);
}

/** @param {Sheets} all @param {string} sheet @param {number} n @param {(row: string[]) => boolean} mine @returns {Table | null} */
function table(all, sheet, n, mine) {
  const found = all.sheets.find((one) => one.name === sheet)?.tables[n];
  const rows = found?.rows.filter(mine) ?? [];
  return found && rows.length ? { ...found, rows, csv: '' } : null;
}

/** @param {Table} one @returns {Table} */
function asFacts(one) {
  const rows = one.columns.slice(1).map((column, i) => [column.unit ? `${column.head}, ${column.unit}` : column.head, one.rows[0][i + 1]]);
  return { ...one, title: 'The tube', columns: [{ head: '', unit: '', align: 'left' }, { head: '', unit: '', align: 'left' }], rows };
}
