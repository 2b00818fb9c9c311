// Everything the shop is told of one member, on one sheet: its cut, saws, bends, wraps and welds.

import { el } from '../cage/dom.js';
import { heading, sheetPaper, tableBlock, wrapPart } from './sheet.js';

/** @typedef {import('./sheet.js').Sheets} Sheets */

/**
 * @param {string} name
 * @param {Sheets} all
 */
export function memberSheet(name, all) {
  const member = all.members.find((one) => one.name === name);
  const bend = all.sheets.find((sheet) => sheet.member === name);
  const wraps = all.wraps.filter((wrap) => wrap.member === name);
  const own = el('article', { class: 'sheet', 'aria-label': member?.shown ?? name }, heading(member?.shown ?? name, all),
    member?.bends ? el('p', { class: 'no-print' }, el('a', { class: 'button', href: `#${encodeURIComponent(`tube:${name}`)}`, text: 'It is bent: read it on the bench' })) : null,
    member?.tables.map((table) => tableBlock({ ...table, csv: '' })) ?? [],
    wraps.length ? el('div', { class: 'wraps-of' }, wraps.map(wrapPart)) : el('p', { class: 'quiet', text: 'Both ends are sawn square: no wrap.' }));
  return [own, bend ? sheetPaper(bend, all) : null];
}
