// What to join on the bench: looked for when it is asked for, as that takes up to half a minute, then kept.

import '../papers/papers.css';
import { button, choice, el, fill } from '../cage/dom.js';
import { ask, planUrl, Refused, state } from '../net.js';
import { makeBar } from '../papers/make_bar.js';
import { plainTable } from '../strength/tables.js';
import { sayName } from '../view/view.js';
import { movesOf } from './passage.js';

/** @typedef {import('../types').BenchFirstShown} BenchFirstShown */

export class BenchFirst {
  constructor() {
    this.door = '';
    this.search = false;
    /** The plan's revision when it was last told; none before. @type {string | null} */
    this.told = null;
    this.doors = el('span', {});
    this.said = el('div', { class: 'bench-first-said', 'aria-live': 'polite' });
    this.bar = makeBar({ kind: 'bench-first', words: 'Look what to join on the bench', stop: 'Stop', done: 'What to join on the bench is told below.', asked: () => ({ door: this.door, search: this.search }), onDone: () => void this.tell() });
    this.holder = el('details', { class: 'bench-first', ontoggle: () => void this.begin() }, el('summary', { text: 'What to join on the bench …' }),
      el('p', { class: 'small', text: 'Looks for the tubes that are best joined outside: the most weld lying well, of what still goes in. It takes up to half a minute.' }),
      el('label', { class: 'field' }, 'By which opening', this.doors), this.bar.holder, this.said);
  }

  /** @param {string[]} openings @returns {HTMLElement} the same each time, so that what it shows stays */
  panel(openings) {
    const doors = /** @type {[string, string][]} */ ([['', 'each in turn'], ...openings.map((name) => [name, sayName(name)])]);
    fill(this.doors, choice(doors, this.door, (value) => { this.door = value; }, { id: 'bench-first-door' }));
    if (this.told !== null && this.told !== (state()?.revision ?? '')) void this.tell();
    return this.holder;
  }

  async begin() {
    if (this.told === null) await this.tell();
  }

  async tell() {
    this.search = false;
    this.told = state()?.revision ?? '';
    try {
      const { found, revision } = /** @type {{found: BenchFirstShown | null, revision: string}} */ (await ask('GET', planUrl('/fitup/bench-first'), undefined, { quiet: true }));
      if (found) this.show(found, revision);
    } catch (wrong) {
      if (!(wrong instanceof Refused)) throw wrong;
      fill(this.said, el('p', { class: 'wrong-words', text: wrong.message }));
    }
  }

  /** Also where the plan says what is joined. */
  again() {
    this.search = true;
    void this.bar.run();
  }

  /** @param {BenchFirstShown} found @param {string} revision of the plan now */
  show(found, revision) {
    const { work, passage } = found;
    fill(this.said,
      found.revision === revision ? null : el('p', { class: 'tag doubt wide', text: `Looked for in an earlier state of the plan (${found.revision}): look again.` }),
      el('p', { class: found.level === 'fine' ? 'bench-first-headline' : 'bench-first-headline wrong-words', text: found.headline }),
      work ? [...work.tables.map((table) => plainTable(table)), el('ul', {}, work.notes.map((text) => el('li', { text }))), el('details', {}, el('summary', { text: 'What it rests on' }), el('ul', { class: 'small' }, work.rests_on.map((text) => el('li', { text }))))] : null,
      passage?.moves.length ? [el('h3', { text: 'How it goes in' }), ...movesOf(passage, (number) => `/fitup/bench-first/${number}.svg?${encodeURIComponent(found.revision)}`)] : null,
      found.larger.length ? el('ul', {}, found.larger.map((one) => el('li', { text: one.words }))) : null,
      found.write ? [el('p', { text: found.write_words }), el('pre', {}, el('code', { text: found.write }))] : null,
      found.said ? el('p', {}, button('Look for the best all the same', () => this.again(), { id: 'bench-first-search' })) : null);
  }
}
