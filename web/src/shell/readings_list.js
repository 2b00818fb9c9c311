// The readings one under another, the list to jump from, and how far the survey has come.

import { el, fill } from '../cage/dom.js';
import { readingCard, SIGNS } from './reading_card.js';

/** @typedef {import('./survey_store.js').Survey} Survey */
/** @typedef {import('./survey_store.js').Store} Store */

/** @param {Store} store */
export function readingsList(store) {
  const nav = el('nav', { class: 'readings-nav no-print', 'aria-label': 'Readings' });
  const cards = el('div', { class: 'reading-cards' });
  const others = el('section', { class: 'panel', 'aria-label': 'Other notes', hidden: true });
  /** @type {Map<string, ReturnType<typeof readingCard>>} */
  const made = new Map();

  /** @param {Survey} survey @param {'read' | 'saved' | 'tried'} why */
  function show(survey, why) {
    if (!made.size || made.size !== survey.readings.length) {
      made.clear();
      for (const row of survey.readings) made.set(row.id, readingCard(row, store));
      fill(cards, [...made.values()].map((one) => one.card), others);
    } else {
      for (const row of survey.readings) made.get(row.id)?.show(row, why === 'tried');
    }
    fill(nav, el('p', { class: 'readings-count' }, el('b', { text: `${survey.done} of ${survey.readings.length}` }), ' read'),
      el('progress', { max: String(survey.readings.length), value: String(survey.done), 'aria-label': 'Readings taken' }),
      el('ol', {}, survey.readings.map(jumpTo)));
    others.hidden = survey.besides.length === 0;
    fill(others, el('h3', { text: 'Besides' }), survey.besides.map((note) => el('p', { text: `${note.found}. ${note.advice}.` })));
  }
  store.onSurvey(show);
  return { nav, cards };
}

/** @param {import('../types').SurveyReading} row */
function jumpTo(row) {
  return el('li', {}, el('a', { href: `#reading-${row.id}`, 'data-state': row.mark },
    el('span', { class: 'sign', 'aria-hidden': 'true', text: SIGNS[row.mark] }), el('span', { text: row.title }), el('span', { class: 'visually-hidden', text: `: ${row.state}` })));
}
