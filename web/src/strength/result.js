// What one push did: figures first, the curve, what happened in order, then everything in tables.

import { button, el, fill } from '../cage/dom.js';
import { makePlot } from '../plot.js';
import { sayLength } from '../numbers.js';
import { units } from '../frame.js';
import { plainTable, tileList } from './tables.js';

/** @typedef {{kind: string, travel: number, load: number, words: string, at: import('./moments.js').At | null}} Happened */
/**
 * @typedef {object} Result
 * @property {string} name
 * @property {string} title
 * @property {string} source
 * @property {string} certainty
 * @property {string} revision
 * @property {Record<string, any>} choices
 * @property {boolean} reached
 * @property {string} end
 * @property {import('./tables.js').Tile[]} tiles
 * @property {{travel: number[], load: number[]}} curve
 * @property {{travel: number, kind: string, words: string}[]} marks
 * @property {Happened[]} happened
 * @property {{name: string, use: number, where: string, hinges: number}[]} members
 * @property {import('./tables.js').TableData[]} tables
 * @property {string} room
 * @property {string} band_words
 * @property {string[]} notes
 * @property {string[]} cautions
 * @property {import('./moments.js').Moments} moments
 */

export const SIGNS = /** @type {Record<string, string>} */ ({ yield: 'starts to yield', hinge: 'bends through', foot: 'foot gives', joint: 'joint gives', strip: 'plate yields', strength: 'joint at its strength' });
const GIVES = new Set(['hinge', 'foot', 'joint', 'strip']);
const APART = 0.06; // of the whole travel: numbers along the curve are no nearer to each other

/** What gives way, numbered from 1 in order. @param {Result} result */
export const numbered = (result) => result.happened.filter((one) => GIVES.has(one.kind)).map((one, i) => ({ ...one, number: i + 1 }));

export class ResultPanel {
  /** @param {HTMLElement} holder @param {{travel: (mm: number) => void, member: (name: string) => void}} heard */
  constructor(holder, heard) {
    this.holder = holder;
    this.heard = heard;
    /** @type {ReturnType<typeof makePlot> | null} */
    this.plot = null;
    /** @type {HTMLElement[]} */
    this.rows = [];
    /** @type {Result | null} */
    this.result = null;
    this.minor = false;
    this.stale = el('p', { class: 'stale-words tag doubt', hidden: true });
  }

  clear() {
    this.plot?.dispose();
    this.plot = null;
    this.result = null;
    fill(this.holder);
  }

  /** @param {Result} result */
  show(result) {
    this.plot?.dispose();
    this.result = result;
    this.order = el('ol', { class: 'happened' });
    const curve = el('div', { class: 'load-curve' });
    fill(this.holder,
      el('h2', { text: result.title }), this.stale,
      result.reached ? null : el('p', { class: 'tag doubt wide', text: result.end }),
      el('p', { class: 'compare-first', text: result.cautions[0] }),
      tileList(result.tiles),
      result.band_words ? el('p', { class: 'small quiet', text: `Ranges run from the least to the typical yield strength; ${result.band_words.replace(/^typical yield strength:? ?/, 'typical: ')}` }) : null,
      el('p', { class: 'small', text: result.room }),
      curve,
      el('section', { 'aria-labelledby': 'order-head' }, this.orderHead(), this.order),
      result.tables.map((table) => el('section', {}, plainTable(table))),
      this.notes(result));
    this.drawOrder();
    this.plot = makePlot(curve, { label: 'Load over travel', x: 'Travel, mm', y: 'Load, kN' });
    this.plot.show([{ name: result.reached ? result.name : `${result.name}, stalled`, x: result.curve.travel, y: result.curve.load.map((n) => n / 1000), spots: spotsOf(result) }]);
    this.plot.onAt((mm) => this.heard.travel(mm));
  }

  orderHead() {
    const all = button('Also first yields and joints', () => {
      this.minor = !this.minor;
      all.setAttribute('aria-pressed', String(this.minor));
      this.drawOrder();
    }, { 'aria-pressed': String(this.minor) });
    return el('header', { class: 'order-head' }, el('h3', { id: 'order-head', text: 'What gives, in order' }), all);
  }

  drawOrder() {
    const result = this.result;
    if (!result || !this.order) return;
    const shown = this.minor ? result.happened.map((one) => ({ ...one, number: 0 })) : numbered(result);
    const gives = new Map(numbered(result).map((one) => [`${one.kind} ${one.words}`, one.number]));
    this.rows = shown.map((one) => {
      const number = gives.get(`${one.kind} ${one.words}`);
      const row = el('button', { type: 'button', class: 'happening', 'data-travel': one.travel, onclick: () => this.go(one) },
        el('span', { class: number ? 'number' : 'number minor', text: number ? String(number) : '·' }),
        el('span', { class: 'happening-words', text: one.words }),
        el('span', { class: 'numbers', text: `${sayLength(one.travel, units(), 0)}, ${(one.load / 1000).toFixed(1)} kN` }));
      return row;
    });
    fill(this.order, this.rows.length ? this.rows.map((row) => el('li', {}, row)) : el('li', { class: 'quiet', text: result.reached ? 'Nothing gives way in this push.' : 'Nothing gave way as far as the push was followed; cannot tell what comes after.' }));
  }

  /** @param {Happened} one */
  go(one) {
    this.heard.travel(one.travel);
    if (one.at) this.heard.member(one.at.member);
  }

  /** Show the travel that the slider is at. @param {number} mm */
  at(mm) {
    this.plot?.at(mm);
    for (const row of this.rows) row.classList.toggle('past', Number(row.dataset.travel) <= mm + 1e-6);
  }

  /** @param {boolean} stale @param {string} revision */
  mark(stale, revision) {
    this.stale.hidden = !stale;
    this.stale.textContent = `Worked out for an earlier state of the plan (${revision}): run it again.`;
  }

  /** @param {Result} result */
  notes(result) {
    const choices = Object.entries(result.choices).map(([key, value]) => `${key} ${value}`).join(', ');
    return el('section', { class: 'small' }, el('h3', { text: 'Cautions and what was assumed' }),
      el('ul', {}, result.cautions.map((text) => el('li', { text }))),
      el('details', {}, el('summary', { text: 'Assumptions of this run' }), el('ul', {}, [...result.notes, `Source of the push: ${result.source} (${result.certainty}).`, `Switches: ${choices}.`].map((text) => el('li', { text })))));
  }
}

/** Words beside the curve: the peak, the helmet, and the numbers of what gives first. @param {Result} result */
function spotsOf(result) {
  const y = (/** @type {number} */ mm) => loadOn(result.curve, mm) / 1000;
  const marks = result.marks.map((one) => ({ x: one.travel, y: y(one.travel), words: one.words }));
  const first = result.happened.find((one) => one.kind === 'yield');
  const top = result.curve.travel[result.curve.travel.length - 1] || 1;
  let last = -Infinity;
  const gives = numbered(result).map((one) => {
    const said = one.travel - last >= APART * top;
    if (said) last = one.travel;
    return { x: one.travel, y: y(one.travel), words: said ? String(one.number) : '' };
  });
  return [...(first ? [{ x: first.travel, y: y(first.travel), words: 'first yield' }] : []), ...gives, ...marks];
}

/** @param {{travel: number[], load: number[]}} curve @param {number} mm */
function loadOn({ travel, load }, mm) {
  const i = travel.findIndex((one) => one >= mm);
  if (i <= 0) return load[i < 0 ? load.length - 1 : 0];
  const part = (mm - travel[i - 1]) / (travel[i] - travel[i - 1] || 1);
  return load[i - 1] + part * (load[i] - load[i - 1]);
}
