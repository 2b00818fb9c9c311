// What came of a comparison: values with their differences, ‘no difference’ greyed and in words, curves side by side.

import { el, fill } from '../cage/dom.js';
import { curveOf, plotWords } from '../curves.js';
import { makePlot } from '../plot.js';
import { planUrl } from '../net.js';
import { plainTable, scrolling } from '../strength/tables.js';

/** @typedef {import('../types').Compared} Cell */
/** @typedef {import('../types').AlternativesAnswer & {study: string}} Answer */

export class ComparedPanel {
  /** @param {HTMLElement} holder */
  constructor(holder) {
    this.holder = holder;
    /** @type {ReturnType<typeof makePlot>[]} */
    this.plots = [];
  }

  /** @param {Answer | null} found @param {string} stale words where it is of an earlier plan or file */
  show(found, stale) {
    for (const plot of this.plots) plot.dispose();
    this.plots = [];
    if (!found) return fill(this.holder);
    const [first, ...notes] = found.notes;
    fill(this.holder,
      el('h2', { text: found.title }),
      el('p', { text: found.headline }),
      stale ? el('p', { class: 'tag doubt wide', text: stale }) : null,
      el('p', { class: 'compare-first', text: first }),
      table('Weight and cost', ['mass', 'bars to buy'], found.rows.map((row) => ({ ...row, cells: [row.mass, row.cost] }))),
      found.summary ? plainTable(found.summary) : null,
      found.pushes.map((push, i) => this.push(found, push, i)),
      el('section', { class: 'small' }, el('h3', { text: 'How to read it' }), el('ul', {}, notes.map((text) => el('li', { text })))));
    found.pushes.forEach((push, i) => this.curves(found, push, i));
  }

  /** @param {Answer} found @param {import('../types').ComparedPush} push @param {number} number */
  push(found, push, number) {
    const shown = (found.rows[0]?.pushes[number].figures ?? []).filter((one) => SHOWN.has(one.key)).map((one) => one.key);
    const rows = found.rows.map((row) => ({ ...row, end: row.pushes[number].end, cells: row.pushes[number].figures.filter((one) => SHOWN.has(one.key)) }));
    return el('section', { class: 'push-compared', 'data-push': push.name },
      el('h3', { text: push.title }),
      table(push.caption, shown.map((key) => found.heads[key]), rows),
      push.ranking_table ? plainTable(push.ranking_table) : null,
      push.ranking.length ? el('img', { class: 'differences', src: planUrl(`/alternatives/${encodeURIComponent(found.study)}/pictures/${encodeURIComponent(push.name)}-differences.svg?${found.revision}`), alt: push.ranking.map((one) => one.words).join('; ') }) : null,
      el('div', { class: 'compare-curve', 'data-curve': push.name }));
  }

  /** @param {Answer} found @param {import('../types').ComparedPush} push @param {number} number */
  curves(found, push, number) {
    const holder = [...this.holder.querySelectorAll('[data-curve]')].find((one) => /** @type {HTMLElement} */ (one).dataset.curve === push.name);
    const drawn = found.rows.flatMap(({ letter, name, pushes }) => {
      const one = pushes[number].curve;
      return one ? [{ letter, name: `${letter} ${name}${one.cut_short ? ' (cannot tell further)' : ''}`, curve: one.curve }] : [];
    });
    if (!holder || !drawn.length) return;
    const plot = makePlot(/** @type {HTMLElement} */ (holder), plotWords(`Load over travel: ${push.name}`, drawn[0].curve));
    plot.show(drawn.map(({ letter, name, curve }) => curveOf(name, curve, [{ x: curve.travel[curve.travel.length - 1], y: curve.load[curve.load.length - 1], words: letter }])));
    this.plots.push(plot);
  }
}

/** Figures of the tables; the answer has more. */
const SHOWN = new Set(['by_J', 'energy_J', 'travel_mm', 'peak_N', 'margin_mm', 'joint_N']);

/** @param {string} title @param {string[]} heads @param {{letter: string, name: string, cells: Cell[], end?: string}[]} rows */
function table(title, heads, rows) {
  const ends = rows.some((row) => row.end !== undefined);
  const made = el('table', { class: 'plain compared' },
    el('caption', { text: title }),
    el('thead', {}, el('tr', {}, el('th', { scope: 'col' }, el('span', { class: 'visually-hidden', text: 'letter' })), el('th', { scope: 'col', text: 'alternative' }), heads.map((head) => el('th', { scope: 'col', class: 'numbers', text: head })), ends ? el('th', { scope: 'col', text: 'how it ended' }) : null)),
    el('tbody', {}, rows.map((row) => el('tr', {}, el('td', { class: 'letter', text: row.letter }), el('th', { scope: 'row', text: row.name }), row.cells.map(cell), ends ? el('td', { class: 'small', text: row.end ?? '' }) : null))));
  return scrolling(made, title);
}

/** @param {Cell} one */
function cell(one) {
  const state = one.told === 'no difference' ? 'same' : one.told === 'cannot tell' ? 'doubtful' : '';
  return el('td', { class: `numbers ${state}`, title: one.why || null },
    el('span', { class: 'value', text: one.value.said }), one.said && one.said !== one.value.said ? el('span', { class: 'difference', text: one.said }) : null);
}
