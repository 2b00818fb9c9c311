// What the step's welds pull: in which order to make them, what to set off before, and the shop's own factor.

import { el, fill } from '../cage/dom.js';
import { scrolling } from '../strength/tables.js';
import { sayName } from '../view/view.js';

export class Shrink {
  /** @param {HTMLElement} holder */
  constructor(holder) {
    this.holder = holder;
  }

  /** @param {string} words */
  wait(words) {
    fill(this.holder, el('p', { role: 'status', text: words }));
  }

  /** @param {import('../types').ShrinkAnswer} found */
  show(found) {
    fill(this.holder,
      el('p', { class: 'shrink-headline', text: found.headline }),
      found.set_off.length ? el('section', {}, el('h3', { text: 'Before the welds' }), el('ul', { class: 'set-off' }, found.set_off.map((one) => el('li', { text: `${one.words}.` })))) : null,
      found.welds.length ? el('section', {}, el('h3', { text: 'Weld in this order' }), this.table(found)) : null,
      el('ul', { class: 'small' }, found.notes.filter((note) => !found.set_off.some((one) => one.words === note.words)).map((note) => el('li', { text: note.words }))),
      el('p', { class: 'small', text: found.own ? `This shop: ${found.own.factor.said} times the tabled shrinkage.` : `Shrinkage times ${found.factor}. Read the step, weld and tick the welds, then read again: that gives this shop’s own factor.` }),
      el('details', {}, el('summary', { text: 'What it rests on' }), el('ul', { class: 'small' }, found.rests_on.map((text) => el('li', { text })))),
      el('ul', { class: 'small' }, found.cautions.map((text) => el('li', { text }))));
  }

  /** @param {import('../types').ShrinkAnswer} found */
  table(found) {
    const table = el('table', { class: 'plain' }, el('caption', { text: 'The order that pulls least' }),
      el('thead', {}, el('tr', {}, ['', 'weld', 'begin', 'draws in', 'worst end then out by'].map((head, i) => el('th', { scope: 'col', class: i > 2 || !i ? 'numbers' : null, text: head || 'No' })))),
      el('tbody', {}, found.welds.map((one, i) => el('tr', {}, el('td', { class: 'numbers', text: String(i + 1) }), el('th', { scope: 'row', text: sayName(one.joint) }), el('td', { text: one.begin }), el('td', { class: 'numbers', text: `${one.drawn.said} (up to ${one.upper.said})` }), el('td', { class: 'numbers', text: one.worst_after.said })))));
    return scrolling(table, 'The order that pulls least');
  }
}
