// Where everything stands by the readings, and what to pull: words here, arrows in the picture.

import { button, el, fill } from '../cage/dom.js';
import { scrolling } from '../strength/tables.js';
import { howTo } from './readings.js';

/** @typedef {import('./types.js').Square} Square */
/** @typedef {import('./types.js').EndRow} EndRow */
/** @typedef {{take: (one: import('./types.js').Wanted) => void, point: (mark: string) => void, within: (mm: number) => void}} Heard */

const HOW = /** @type {Record<string, [string, string]>} */ ({ hand: ['pass', 'by hand'], strap: ['doubt', 'by a strap'], stop: ['wrong', 'stop'], 'cannot tell': ['doubt', 'cannot tell'] });
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
  show(found) {
    if (!found.told) {
      fill(this.holder, el('p', { text: 'Nothing is read yet at this step, so nothing can be told.' }), this.problems(found));
      return;
    }
    const out = found.ends.filter((one) => one.stands === 'out');
    const unsure = found.ends.filter((one) => one.stands === 'cannot tell');
    fill(this.holder,
      this.head(found, out.length, unsure.length),
      this.problems(found),
      out.length ? el('section', {}, el('h3', { text: 'Pull' }), el('ol', { class: 'pulls' }, out.map((one) => this.pull(one)))) : null,
      found.read_next.length ? el('section', {}, el('h3', { text: 'What to read next' }), el('p', { class: 'quiet small', text: 'These would sharpen the answer most.' }), el('ul', { class: 'read-next' }, found.read_next.map((one) => el('li', {}, button(howTo(one), () => this.heard.take(one), { class: 'wide' }))))) : null,
      found.gaps.length ? el('section', {}, el('h3', { text: 'Joints that have opened' }), el('ul', {}, found.gaps.map((one) => el('li', {}, el('b', { text: one.joint }), `: ${one.words}${one.overlap > 0.5 ? `; overlaps by ${one.overlap.toFixed(1)} mm` : ''}`)))) : null,
      this.table(found),
      el('ul', { class: 'small' }, found.cautions.map((text) => el('li', { text }))));
  }

  /** @param {Square} found @param {number} out @param {number} unsure */
  head(found, out, unsure) {
    const words = out ? `${out} ${out === 1 ? 'end is' : 'ends are'} out` : unsure ? `Cannot tell for ${unsure} ${unsure === 1 ? 'end' : 'ends'}` : 'Every end is in place';
    const within = el('input', { type: 'number', min: 0.5, max: 20, step: 0.5, value: this.within, 'aria-label': 'Within, mm', onchange: () => { this.within = Number(within.value) || 3; this.heard.within(this.within); } });
    return el('header', { class: 'pulls-head' },
      el('p', { class: `verdict tag ${out ? 'wrong' : unsure ? 'doubt' : 'pass'}`, text: words }),
      el('label', { class: 'within' }, 'within', within, 'mm'),
      el('p', { class: 'small quiet', text: `From ${found.used} readings, told from ${found.datum}. They scatter ${found.scatter.toFixed(1)} times as much as a tape does${found.fits ? '' : ': more than can be believed, so read the worst again'}.` }),
      out ? el('p', { class: 'small', text: `Arrows in the picture show the way; they are ${found.stretch} times as long as the pull.` }) : null);
  }

  /** @param {Square} found */
  problems(found) {
    const list = [...(found.slips ?? []).map((one) => ({ kind: 'wrong', words: one.words })), ...found.not_used.map((words) => ({ kind: 'doubt', words: `Not used: ${words}` })), ...(found.loose?.length ? [{ kind: 'doubt', words: `Not fixed by the readings: ${found.loose.join(', ')}.` }] : [])];
    return list.length ? el('ul', { class: 'slips' }, list.map((one) => el('li', { class: one.kind === 'wrong' ? 'wrong-words' : 'doubt-words', text: one.words }))) : null;
  }

  /** @param {EndRow} one */
  pull(one) {
    const how = one.closing ? HOW[one.closing.how] ?? ['doubt', one.closing.how] : null;
    const [stands, pull] = split(one.words);
    return el('li', { class: one.closing?.how === 'stop' ? 'stop' : null },
      el('p', { class: 'pull-words' }, el('b', { text: stands }), pull ? ` ${pull}` : ''),
      one.closing && how ? el('p', { class: 'small' }, el('span', { class: `tag ${how[0]}`, text: how[1] }), ` ${one.closing.words}${one.closing.then_words ? `; ${one.closing.then_words} (${HOW[one.closing.then_how ?? '']?.[1] ?? one.closing.then_how})` : ''}.`) : null,
      button('Show it', () => this.heard.point(one.mark), { class: 'link' }));
  }

  /** @param {Square} found */
  table(found) {
    const number = (/** @type {EndRow} */ one, /** @type {number} */ axis) => el('td', { class: 'numbers', text: `${signed(one.off[axis])} ± ${one.sure[axis].toFixed(0)}` });
    const table = el('table', { class: 'plain ends-table' }, el('caption', { text: 'Where each end is, mm from its place on the plan (95 %)' }),
      el('thead', {}, el('tr', {}, ['end', 'back', 'across', 'up', ''].map((head, i) => el('th', { scope: 'col', class: i && i < 4 ? 'numbers' : null, text: head || 'it is' })))),
      el('tbody', {}, found.ends.map((one) => el('tr', {}, el('th', { scope: 'row', text: `${one.member}, ${one.end}` }), [0, 1, 2].map((axis) => number(one, axis)), el('td', {}, el('span', { class: `tag ${STANDS[one.stands]}`, text: one.stands }))))));
    return scrolling(table, 'Where each end is');
  }
}

/** How it stands, and what to pull. @param {string} words */
function split(words) {
  const at = words.indexOf('; pull it ');
  return at < 0 ? [`${words}.`, ''] : [`${words.slice(0, at)}.`, `P${words.slice(at + 3)}.`];
}

/** @param {number} value */
const signed = (value) => `${value < -0.05 ? '−' : value > 0.05 ? '+' : ''}${Math.abs(value).toFixed(1)}`;
