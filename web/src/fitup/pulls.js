// Where everything stands by the readings, and what to pull: words here, arrows in the picture.

import { button, choice, el, fill } from '../cage/dom.js';
import { scrolling } from '../strength/tables.js';
import { sayName } from '../view/view.js';

/** @typedef {import('./types.js').Square} Square */
/** @typedef {{take: (one: import('./types.js').Wanted) => void, point: (mark: string) => void, within: (mm: number) => void}} Heard */

const HOW = /** @type {Record<string, [string, string]>} */ ({ hand: ['pass', 'by hand'], strap: ['doubt', 'by a strap'], stop: ['wrong', 'stop'], 'cannot tell': ['doubt', 'cannot tell'] });
const LEVELS = /** @type {Record<string, string>} */ ({ fail: 'wrong', 'look at': 'doubt', 'cannot tell': 'doubt', fine: 'pass' });
const STANDS = /** @type {Record<string, string>} */ ({ out: 'wrong', 'cannot tell': 'doubt', 'in place': 'pass' });

export class Pulls {
  /** @param {HTMLElement} holder @param {Heard} heard */
  constructor(holder, heard) {
    this.holder = holder;
    this.heard = heard;
    this.within = 3;
  }

  /** @param {string} words */
  wait(words) {
    fill(this.holder, el('p', { role: 'status', text: words }));
  }

  /** @param {Square} found */
  show({ square, pull, problems }) {
    if (!square || !pull) {
      fill(this.holder, el('p', { text: 'Nothing is read yet at this step, so nothing can be told.' }), this.list(problems.slice(1).map((words) => ({ words, level: 'look at' }))));
      return;
    }
    const out = pull.pulls.filter((one) => one.order);
    fill(this.holder,
      this.head(square, pull, out.length),
      this.list(square.notes),
      out.length ? el('section', {}, el('h3', { text: 'Pull' }), el('ol', { class: 'pulls' }, out.map((one) => this.pull(one)))) : null,
      square.read_next.length ? el('section', {}, el('h3', { text: 'What to read next' }), el('p', { class: 'quiet small', text: 'These would sharpen the answer most.' }), el('ul', { class: 'read-next' }, square.read_next.map((one) => el('li', {}, button(one.how, () => this.heard.take(one), { class: 'wide' }))))) : null,
      pull.gaps.length ? el('section', {}, el('h3', { text: 'Joints that have opened' }), el('ul', {}, pull.gaps.map((one) => el('li', { text: one.words })))) : null,
      this.table(square),
      el('ul', { class: 'small' }, square.cautions.map((text) => el('li', { text }))));
  }

  /** @param {import('../types').SquareAnswer} square @param {import('../types').PullAnswer} pull @param {number} out */
  head(square, pull, out) {
    const offered = square.choices.map((one) => /** @type {[string, string]} */ ([String(one.value), one.said]));
    const within = choice(offered, String(square.within.value), (value) => { this.within = Number(value); this.heard.within(this.within); }, { 'aria-label': 'Within' });
    return el('header', { class: 'pulls-head' },
      el('p', { class: `verdict tag ${LEVELS[square.level]}`, text: square.headline }),
      el('label', { class: 'within' }, 'within', within),
      el('p', { class: 'small quiet', text: square.basis.words }),
      out ? el('p', { class: 'small', text: `Arrows in the picture show the way; they are ${pull.stretch} times as long as the pull.` }) : null);
  }

  /** @param {{words: string, level: string}[]} notes */
  list(notes) {
    return notes.length ? el('ul', { class: 'slips' }, notes.map((one) => el('li', { class: one.level === 'fail' ? 'wrong-words' : 'doubt-words', text: one.words }))) : null;
  }

  /** @param {import('./types.js').PullRow} one */
  pull(one) {
    const how = one.takes ? HOW[one.takes.how] ?? ['doubt', one.takes.how] : null;
    return el('li', { class: one.takes?.how === 'stop' ? 'stop' : null },
      el('p', { class: 'pull-words' }, el('b', { text: `${one.words}.` }), ` P${one.order.slice(1)}.`),
      one.takes && how ? el('p', { class: 'small' }, el('span', { class: `tag ${how[0]}`, text: how[1] }), ` ${one.takes.words}.`) : null,
      button('Show it', () => this.heard.point(one.mark), { class: 'link' }));
  }

  /** @param {import('../types').SquareAnswer} square */
  table(square) {
    const table = el('table', { class: 'plain ends-table' }, el('caption', { text: 'Where each end is from its place on the plan (95 %)' }),
      el('thead', {}, el('tr', {}, ['end', 'back', 'across', 'up', ''].map((head, i) => el('th', { scope: 'col', class: i && i < 4 ? 'numbers' : null, text: head || 'it is' })))),
      el('tbody', {}, square.ends.map((one) => el('tr', {}, el('th', { scope: 'row', text: `${sayName(one.member)}, ${one.end}` }), one.off.map((off) => el('td', { class: 'numbers', text: off.said })), el('td', {}, el('span', { class: `tag ${STANDS[one.stands]}`, text: one.stands }))))));
    return scrolling(table, 'Where each end is');
  }
}
