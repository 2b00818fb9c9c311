// How ready the survey is for a first plan, and the button that lays it out.

import { button, el, fill } from '../cage/dom.js';
import { ask, Refused } from '../net.js';
import { askText, say } from '../say.js';
import { tagOf } from './survey_store.js';

/** @typedef {import('./survey_store.js').Store} Store */

/** @param {Store} store */
export function draftBar(store) {
  const words = el('p', { role: 'status' });
  const go = button('Lay out a first plan', () => void start(), { class: 'main', id: 'draft' });
  const sheet = el('a', { class: 'button', href: '/api/surveys/sheet.pdf', download: '' }, 'Survey sheet to print (PDF)');
  const holder = el('div', { class: 'draft-bar no-print' }, words, sheet, go);

  async function start() {
    await store.settled();
    const survey = store.now();
    if (!survey) return;
    const name = await askText('What shall the plan’s file be called?', { value: survey.title, yes: 'Lay it out', hint: 'It is laid out from the readings and the wishes; nothing is overwritten.' });
    if (!name) return;
    say('Laying it out …');
    try {
      told(await ask('POST', `${store.url}/draft`, { name }));
    } catch (wrong) {
      if (!(wrong instanceof Refused)) throw wrong;
    }
  }
  store.onSurvey((survey) => fill(words, el('span', { class: `tag ${survey.level === 'fine' ? 'pass' : tagOf(survey.level)}`, text: survey.headline })));
  return holder;
}

/** @param {import('../types').DraftAnswer & {address: string}} made */
function told(made) {
  if (!made.not_done.length && !made.doubts.length) return location.assign(made.address);
  /** @param {string} title @param {string[]} lines */
  const part = (title, lines) => (lines.length ? [el('h3', { text: title }), el('ul', {}, lines.map((text) => el('li', { text })))] : null);
  const box = el('dialog', { 'aria-labelledby': 'drafted-words' },
    el('h2', { id: 'drafted-words', text: made.headline }),
    part('What could not be done', made.not_done.map((one) => one.words)),
    part('How it answers its rule books', made.judged.map((one) => one.words)),
    part('What the survey leaves open', made.doubts.map((one) => one.words)),
    part('Taken from the scan', made.from_scan),
    made.cautions.map((text) => el('p', { class: 'small quiet', text })),
    el('p', { class: 'actions' }, el('a', { class: 'button main', href: made.address, text: 'Open the plan' })));
  document.body.append(box);
  box.showModal();
  return undefined;
}
