// The next car of the kind: what to read on it, its file, and what its readings say.

import { button, choice, el, fill } from '../cage/dom.js';
import { ask, Refused } from '../net.js';
import { askText } from '../say.js';
import { plainTable } from '../strength/tables.js';
import { tagOf } from './survey_store.js';

/** @typedef {{found: import('../types').NextCarAnswer, cars: {id: string, file: string}[]}} Told */

/** The pane; it is asked for when it is first shown, as the readings are chosen anew. @param {import('./survey_store.js').Store} store */
export function nextCarPanel(store) {
  let car = '';
  const said = el('div', { 'aria-live': 'polite' }, el('p', { class: 'quiet', text: 'Choosing the readings …' }));
  const holder = el('section', { class: 'panel next-car', 'aria-label': 'The next car' }, el('h2', { text: 'The next car of this kind' }),
    el('p', { class: 'small', text: 'Some twenty tapes, with no string and no level, tell whether it is the same body, differs somewhere, or is bent.' }), said);
  new IntersectionObserver((seen, watcher) => {
    if (!seen.some((one) => one.isIntersecting)) return;
    watcher.disconnect();
    void tell();
  }).observe(holder);

  async function tell() {
    try {
      show(/** @type {Told} */ (await ask('GET', `${store.url}/next${car ? `?car=${encodeURIComponent(car)}` : ''}`, undefined, { quiet: true })));
    } catch (wrong) {
      if (!(wrong instanceof Refused)) throw wrong;
      fill(said, el('p', { class: 'wrong-words', text: wrong.message }));
    }
  }

  async function start() {
    const name = await askText('What shall the next car be called?', { value: 'next car', yes: 'Make its file', hint: 'A body’s file with these readings to fill in; its page opens.' });
    if (!name) return;
    const made = await ask('POST', `${store.url}/next`, { name });
    location.assign(`/surveys/${made.id}`);
  }

  /** @param {Told} told */
  function show({ found, cars }) {
    const headline = `${found.headline[0].toUpperCase()}${found.headline.slice(1)}.`;
    fill(said,
      el('div', { class: 'toolbar no-print' },
        el('label', { class: 'field' }, 'Its readings are in', choice([['', 'no file yet'], ...cars.map(({ id, file }) => /** @type {[string, string]} */ ([id, file]))], car, (value) => { car = value; void tell(); }, { id: 'next-car' })),
        button('Make its file', () => void start(), { id: 'next-make' })),
      el('p', { class: 'obstacles-headline' }, found.verdict ? el('span', { class: `tag ${found.level === 'fine' ? 'pass' : tagOf(found.level)}`, text: found.verdict }) : null, ` ${headline}`),
      found.tables.map((table) => plainTable(table)),
      el('ul', { class: 'small' }, [...found.found.slice(1), ...found.finds].map((one) => el('li', { text: one.words }))),
      found.cautions.map((text) => el('p', { class: 'small quiet', text })));
  }
  return holder;
}
