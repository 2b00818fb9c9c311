// How ready the survey is for a first plan, and the button that lays it out.

import { button, el, fill } from '../cage/dom.js';
import { ask, Refused } from '../net.js';
import { askText, say } from '../say.js';

/** @typedef {import('./survey_store.js').Survey} Survey */
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
  store.onSurvey((survey) => fill(words, readyWords(survey)));
  return holder;
}

/** @param {Survey} survey */
function readyWords(survey) {
  const titles = survey.rows.filter((row) => survey.must.includes(row.id)).map((row) => row.title.toLowerCase());
  if (survey.grave) return [el('span', { class: 'tag wrong', text: `${survey.grave} to take again` }), ' They are left out until then.'];
  if (titles.length) return [el('span', { class: 'tag doubt', text: `${titles.length} still needed` }), ` ${titles.slice(0, 2).join('; ')}${titles.length > 2 ? ' and more' : ''}`];
  return [el('span', { class: 'tag pass', text: 'enough for a first plan' }), ` ${survey.done} of ${survey.of} read`];
}

/** @param {{address: string, members: number, not_done: string[], doubts: {found: string, advice: string}[], caution: string}} made */
function told(made) {
  if (!made.not_done.length && !made.doubts.length) return location.assign(made.address);
  const box = el('dialog', { 'aria-labelledby': 'drafted-words' },
    el('h2', { id: 'drafted-words', text: `${made.members} members are laid out` }),
    made.not_done.length ? [el('h3', { text: 'What could not be done' }), el('ul', {}, made.not_done.map((text) => el('li', { text })))] : null,
    made.doubts.length ? [el('h3', { text: 'What the survey leaves open' }), el('ul', {}, made.doubts.map((one) => el('li', { text: `${one.found}. ${one.advice}.` })))] : null,
    el('p', { class: 'small quiet', text: made.caution }),
    el('p', { class: 'actions' }, el('a', { class: 'button main', href: made.address, text: 'Open the plan' })));
  document.body.append(box);
  box.showModal();
  return undefined;
}
