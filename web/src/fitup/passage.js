// How the bench's work goes into the car: an opening chosen, its moves in words, and a picture after each.

import { button, choice, el, fill } from '../cage/dom.js';
import { ask, planUrl, Refused } from '../net.js';
import { sayName } from '../view/view.js';

/** @typedef {import('../types').PassageAnswer} PassageAnswer */

export class WayIn {
  constructor() {
    /** @type {Record<string, PassageAnswer>} */
    this.known = {};
    this.opening = '';
    this.said = el('div', { class: 'way-in-said', 'aria-live': 'polite' });
  }

  /** @param {string[]} openings @returns {HTMLElement} */
  panel(openings) {
    this.opening = openings.includes(this.opening) ? this.opening : openings[0];
    const pick = choice(openings.map((name) => /** @type {[string, string]} */ ([name, sayName(name)])), this.opening, (value) => { this.opening = value; this.tell(); }, { 'aria-label': 'Opening that it goes in by' });
    this.tell();
    return el('section', { class: 'way-in' }, el('h3', { text: 'How it goes in' }), el('p', {}, pick, ' ', button('Find a way in', () => void this.find())), this.said);
  }

  async find() {
    const opening = this.opening;
    fill(this.said, el('p', { class: 'quiet', text: 'Looking for a way in …' }));
    try {
      this.known[opening] = /** @type {PassageAnswer} */ (await ask('GET', planUrl(`/fitup/passage/${encodeURIComponent(opening)}`)));
    } catch (wrong) {
      if (!(wrong instanceof Refused)) throw wrong;
      fill(this.said, el('p', { class: 'wrong-words', text: wrong.message }));
      return;
    }
    this.tell();
  }

  tell() {
    const found = this.known[this.opening];
    if (!found) {
      fill(this.said);
      return;
    }
    fill(this.said, el('p', { class: found.level === 'fine' ? null : 'wrong-words', text: found.headline }),
      movesOf(found, (number) => `/fitup/passage/${encodeURIComponent(found.opening)}/${number}.svg`));
  }
}

/** The moves, a picture after each, and what was counted. @param {PassageAnswer} found @param {(number: number) => string} picture its address, of the plan's */
export const movesOf = (found, picture) => [
  el('ol', { class: 'moves' }, found.moves.map((one) => el('li', {}, el('p', { text: one.said }),
    el('img', { src: planUrl(picture(one.number)), alt: `The part after move ${one.number}, from the front, from above and from the left`, loading: 'lazy' })))),
  el('p', { class: 'quiet', text: found.counted }),
];
