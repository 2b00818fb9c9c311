// What one push did: figures first, the curve, what happened in order, then everything in tables.

import { button, el, fill } from '../cage/dom.js';
import { curveOf, plotWords } from '../curves.js';
import { makePlot } from '../plot.js';
import { plainTable, tileList } from './tables.js';

/** @typedef {import('../types').PushShown} Result */
/** @typedef {import('../types').Happened & {at: import('../types').TubePoint | null}} Happening */

const APART = 0.06; // of the whole travel: numbers along the curve are no nearer to each other

/** What happened in order, each with its place. @param {Result} result @returns {Happening[]} */
const happened = (result) => result.happened.map((one, i) => ({ ...one, at: result.at[i] }));
/** What gives way, numbered from 1 in order. @param {Result} result */
export const numbered = (result) => happened(result).filter((one) => one.number);
const mm = (/** @type {Happening} */ one) => one.travel.value ?? 0;

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
      el('p', { class: result.counted.kind === 'cannot tell' ? 'tag doubt wide' : 'counted-to', text: result.end.words }),
      el('p', { class: 'compare-first', text: result.cautions[0] }),
      tileList(result.figures),
      result.joints_words ? el('p', { class: 'tag doubt wide', text: result.joints_words }) : null,
      el('p', { class: 'small', text: result.room }),
      curve,
      el('section', { 'aria-labelledby': 'order-head' }, this.orderHead(), this.order),
      result.tables.map((table) => el('section', {}, plainTable(table))),
      this.notes(result));
    this.drawOrder();
    this.plot = makePlot(curve, plotWords('Load over travel', result.curve));
    this.plot.show([curveOf(result.counted.kind === 'cannot tell' ? `${result.name}, ${result.counted.kind}` : result.name, result.curve, spotsOf(result))]);
    this.plot.onAt((x) => this.heard.travel(x * result.curve.x.scale));
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
    const rows = this.minor ? happened(result) : numbered(result);
    this.rows = rows.map((one) => el('button', { type: 'button', class: 'happening', 'data-travel': mm(one), onclick: () => this.go(one) },
      el('span', { class: one.number ? 'number' : 'number minor', text: one.number ? String(one.number) : '·' }),
      el('span', { class: 'happening-words', text: one.words }),
      el('span', { class: 'numbers', text: `${one.travel.said}, ${one.load.said}` })));
    fill(this.order, this.rows.length ? this.rows.map((row) => el('li', {}, row)) : el('li', { class: 'quiet', text: result.counted.kind === 'cannot tell' ? 'Nothing gave way as far as the push was followed; cannot tell what comes after.' : 'Nothing gives way in this push.' }));
  }

  /** @param {Happening} one */
  go(one) {
    this.heard.travel(mm(one));
    if (one.at) this.heard.member(one.at.member);
  }

  /** Show the travel that the slider is at. @param {number} travel mm */
  at(travel) {
    this.plot?.at(travel / (this.result?.curve.x.scale ?? 1));
    for (const row of this.rows) row.classList.toggle('past', Number(row.dataset.travel) <= travel + 1e-6);
  }

  /** @param {boolean} stale @param {string} revision */
  mark(stale, revision) {
    this.stale.hidden = !stale;
    this.stale.textContent = `Worked out for an earlier state of the plan (${revision}): run it again.`;
  }

  /** @param {Result} result */
  notes(result) {
    const choices = Object.entries(result.assumed).map(([key, value]) => `${key} ${value}`).join(', ');
    return el('section', { class: 'small' }, el('h3', { text: 'Cautions and what was assumed' }),
      el('ul', {}, result.cautions.map((text) => el('li', { text }))),
      el('details', {}, el('summary', { text: 'Assumptions of this run' }), el('ul', {}, [...result.notes, `Source of the push: ${result.source}`, `Switches: ${choices}.`].map((text) => el('li', { text })))));
  }
}

/** Words beside the curve: the peak, how far it counts, and the numbers of what gives first; mm and N. @param {Result} result */
function spotsOf(result) {
  const y = (/** @type {number} */ travel) => loadOn(result.curve, travel);
  const marks = result.marks.map((one) => ({ x: one.travel, y: y(one.travel), words: one.words }));
  const first = happened(result).find((one) => one.kind === 'yield');
  const top = result.curve.travel[result.curve.travel.length - 1] || 1;
  let last = -Infinity;
  const gives = numbered(result).map((one) => {
    const said = mm(one) - last >= APART * top;
    if (said) last = mm(one);
    return { x: mm(one), y: y(mm(one)), words: said ? String(one.number) : '' };
  });
  return [...(first ? [{ x: mm(first), y: y(mm(first)), words: 'first yield' }] : []), ...gives, ...marks];
}

/** @param {import('../types').LoadCurve} curve @param {number} at mm */
function loadOn({ travel, load }, at) {
  const i = travel.findIndex((one) => one >= at);
  if (i <= 0) return load[i < 0 ? load.length - 1 : 0];
  const part = (at - travel[i - 1]) / (travel[i] - travel[i - 1] || 1);
  return load[i - 1] + part * (load[i] - load[i - 1]);
}
