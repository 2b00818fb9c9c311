// One sheet as it prints: its heading, drawings, tables and notes, and each of its files to keep.

import { el } from '../cage/dom.js';
import { planUrl } from '../net.js';

/** @typedef {import('../types.js').MemberSheet} MemberSheet */
/** @typedef {import('../types.js').Table & {csv: string}} Table */
/** @typedef {{title: string, svg: string, width: number, height: number}} Drawing */
/** @typedef {{name: string, title: string, kind: string, member: string | null, notes: string[], tables: Table[], drawings: Drawing[], pdf: Record<string, string>}} Sheet */
/** @typedef {{member: string, shown: string, title: string, warnings: string[], svg: string, dxf: string, pdf: Record<string, string>, width: number, height: number}} Wrap */
/** @typedef {{title: string, revision: string, shop: string, headline: string, cautions: string[], to_see_to: import('../types.js').Sentence[], members: MemberSheet[], sheets: Sheet[], wraps: Wrap[], papers: Record<string, string[]>}} Sheets */

/** Kinds whose drawings stand before their tables on paper. */
const DRAWN_FIRST = new Set(['cage', 'nesting']);
const PAPERS = /** @type {Record<string, string>} */ ({ a4: 'A4', letter: 'US Letter' });

/** @param {string} name @param {boolean} [keep] */
export const fileUrl = (name, keep = false) =>
  planUrl(`/cut/files/${name.split('/').map(encodeURIComponent).join('/')}${keep ? '?keep' : ''}`);

/**
 * @param {Sheet} sheet
 * @param {Sheets} all
 */
export function sheetPaper(sheet, all) {
  const tables = sheet.tables.filter((table) => table.rows.length).map(tableBlock);
  const drawings = sheet.drawings.map((drawing) => figure(drawing, sheet.title));
  const before = DRAWN_FIRST.has(sheet.kind) ? [...drawings, ...tables] : [...tables.slice(0, 2), ...drawings, ...tables.slice(2)];
  return el('article', { class: 'sheet', 'aria-label': sheet.title }, heading(sheet.title, all), takes(sheetTakes(sheet)), before, notes(sheet.notes));
}

/** @param {string} title @param {Sheets} all */
export function heading(title, all) {
  return el('header', {}, el('h2', { text: title }), el('p', {}, all.title, ', revision ', el('code', { text: all.revision })));
}

/** @param {Sheet} sheet @returns {[string, string][]} */
function sheetTakes(sheet) {
  const pdf = Object.entries(sheet.pdf).map(([paper, name]) => /** @type {[string, string]} */ ([`PDF ${PAPERS[paper]}`, name]));
  return pdf;
}

/** @param {[string, string][]} files words and name of each */
export function takes(files) {
  if (!files.length) return null;
  return el('p', { class: 'takes no-print' }, el('span', { class: 'quiet', text: 'Download' }), files.map(([words, name]) =>
    el('a', { class: name.endsWith('.pdf') ? 'pdf' : '', href: fileUrl(name, true), download: '', 'data-file': name, text: words })), el('span', { class: 'pdf-wanting quiet', text: 'PDFs are being set' }));
}

/** @param {Table} table */
export function tableBlock(table) {
  return el('div', { class: 'table-block' }, el('p', { class: 'table-head' }, el('b', { text: table.title || 'Table' }), table.csv && el('a', { class: 'no-print', href: fileUrl(table.csv, true), download: '', 'data-file': table.csv, 'aria-label': `CSV of ${table.title || 'this table'}`, text: 'CSV' })), el('div', { class: 'scroll', tabindex: '0', role: 'region', 'aria-label': table.title || 'Table' },
    el('table', { class: 'plain' },
      table.title ? el('caption', { class: 'visually-hidden', text: table.title }) : null,
      headed(table) ? el('thead', {}, el('tr', {}, table.columns.map((c) => el('th', { scope: 'col', class: c.align === 'right' ? 'numbers' : '', text: c.unit ? `${c.head}, ${c.unit}` : c.head })))) : null,
      el('tbody', {}, table.rows.map((row) => rowOf(row, table))))));
}

/** @param {Table} table facts have no headings over their columns */
const headed = (table) => table.columns.some((column) => column.head);

/** @param {string[]} row @param {Table} table */
function rowOf(row, table) {
  return el('tr', {}, row.map((cell, i) => {
    const right = table.columns[i]?.align === 'right';
    return el(i === 0 ? 'th' : 'td', { scope: i === 0 ? 'row' : null, class: right ? 'numbers' : '' }, soft(cell));
  }));
}

/** The text with places to break in its long names. @param {string} text @returns {(Node | string)[]} */
export function soft(text) {
  return text.split(/(?<=_)/).flatMap((part, i) => (i ? [el('wbr'), part] : [part]));
}

/** @param {Drawing} drawing @param {string} sheet */
export function figure(drawing, sheet) {
  const image = el('img', { src: fileUrl(drawing.svg), alt: `${drawing.title || sheet}; the table beside says it in numbers`, loading: 'lazy' });
  image.style.width = `${drawing.width}mm`;
  return el('figure', {}, drawing.title ? el('figcaption', { text: drawing.title }) : null, image);
}

/** @param {string[]} words */
export function notes(words) {
  return words.length ? el('ul', { class: 'notes' }, words.map((note) => el('li', { text: note }))) : null;
}

/** @param {Wrap} wrap */
export function wrapPart(wrap) {
  const image = el('img', { src: fileUrl(wrap.svg), alt: `${wrap.title} of ${wrap.shown}; its settings are in the cut list`, loading: 'lazy' });
  image.style.width = `${wrap.width}mm`;
  return el('section', {}, el('h3', { text: wrap.title }),
    wrap.warnings.map((words) => el('p', { class: 'wrap-warn', text: words })),
    takes([...Object.entries(wrap.pdf).map(([paper, name]) => /** @type {[string, string]} */ ([`PDF ${PAPERS[paper]}, 1:1`, name])), ['DXF', wrap.dxf], ['SVG', wrap.svg]]),
    el('figure', {}, image));
}
