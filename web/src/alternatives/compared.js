// What came of a comparison: values with their differences, ‘no difference’ greyed and in words, curves side by side.

import { el, fill } from '../cage/dom.js';
import { makePlot } from '../plot.js';
import { scrolling } from '../strength/tables.js';

/** @typedef {{value: string, difference: string, told: string, why: string}} Cell */
/** @typedef {{letter: string, name: string, cells: Cell[], end?: string}} Row */
/** @typedef {{letter: string, name: string, travel: number[], load: number[], cut_short: boolean}} Curve */
/** @typedef {{name: string, title: string, upto: number, heads: string[], rows: Row[], curves: Curve[]}} PushTable */
/** @typedef {{title: string, question: string, revision: string, bills: {title: string, heads: string[], rows: Row[]}, pushes: PushTable[], notes: string[]}} Compared */

export class ComparedPanel {
  /** @param {HTMLElement} holder */
  constructor(holder) {
    this.holder = holder;
    /** @type {ReturnType<typeof makePlot>[]} */
    this.plots = [];
  }

  /** @param {Compared | null} found @param {string} stale words where it is of an earlier plan or file */
  show(found, stale) {
    for (const plot of this.plots) plot.dispose();
    this.plots = [];
    if (!found) return fill(this.holder);
    const [first, ...notes] = found.notes;
    fill(this.holder,
      el('h2', { text: found.title }),
      stale ? el('p', { class: 'tag doubt wide', text: stale }) : null,
      el('p', { class: 'compare-first', text: first }),
      table('Weight and cost', found.bills.heads, found.bills.rows, false),
      found.pushes.map((push) => this.push(push)),
      el('section', { class: 'small' }, el('h3', { text: 'How to read it' }), el('ul', {}, notes.map((text) => el('li', { text })))));
    for (const push of found.pushes) this.curves(push);
  }

  /** @param {PushTable} push */
  push(push) {
    return el('section', { class: 'push-compared', 'data-push': push.name },
      el('h3', { text: push.title }),
      table(`${push.name}, over ${push.upto.toFixed(0)} mm`, push.heads, push.rows, true),
      el('div', { class: 'compare-curve', 'data-curve': push.name }));
  }

  /** @param {PushTable} push */
  curves(push) {
    const holder = [...this.holder.querySelectorAll('[data-curve]')].find((one) => /** @type {HTMLElement} */ (one).dataset.curve === push.name);
    if (!holder || !push.curves.length) return;
    const plot = makePlot(/** @type {HTMLElement} */ (holder), { label: `Load over travel: ${push.name}`, x: 'Travel, mm', y: 'Load, kN' });
    plot.show(push.curves.map((curve) => ({ name: `${curve.letter} ${curve.name}${curve.cut_short ? ' (stalled)' : ''}`, x: curve.travel, y: curve.load.map((n) => n / 1000), spots: endSpot(curve) })));
    this.plots.push(plot);
  }
}

/** Its letter at the end of the curve. @param {Curve} curve */
function endSpot(curve) {
  const last = curve.travel.length - 1;
  return [{ x: curve.travel[last], y: curve.load[last] / 1000, words: curve.letter }];
}

/** @param {string} title @param {string[]} heads @param {Row[]} rows @param {boolean} ends */
function table(title, heads, rows, ends) {
  const made = el('table', { class: 'plain compared' },
    el('caption', { text: title }),
    el('thead', {}, el('tr', {}, el('th', { scope: 'col' }, el('span', { class: 'visually-hidden', text: 'letter' })), el('th', { scope: 'col', text: 'alternative' }), heads.map((head) => el('th', { scope: 'col', class: 'numbers', text: head })), ends ? el('th', { scope: 'col', text: 'how it ended' }) : null)),
    el('tbody', {}, rows.map((row) => el('tr', {}, el('td', { class: 'letter', text: row.letter }), el('th', { scope: 'row', text: row.name }), row.cells.map(cell), ends ? el('td', { class: 'small', text: row.end ?? '' }) : null))));
  return scrolling(made, title);
}

/** @param {Cell} one */
function cell(one) {
  const same = one.told === 'no difference';
  const doubt = one.told === 'cannot tell';
  const words = same ? 'no difference' : doubt ? 'cannot tell' : one.difference;
  return el('td', { class: `numbers ${same ? 'same' : doubt ? 'doubtful' : ''}`, title: one.why || null },
    el('span', { class: 'value', text: one.value }), words && words !== one.value ? el('span', { class: 'difference', text: words }) : null);
}
