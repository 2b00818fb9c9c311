// The folder's page: its plans with a picture each, its surveys, and how to start a new one.

import '../folder/folder.css';
import { button, byId, el, fill } from '../cage/dom.js';
import { newPlan } from '../folder/new_plan.js';
import { startPage, takeFile } from '../frame.js';
import { ask } from '../net.js';
import { askText } from '../say.js';
import { sayWhen } from '../papers/make_bar.js';

/** @typedef {{id: string, title: string, file: string, changed: number}} Plan */
/** @typedef {{id: string, file: string, changed: number}} SurveyFile */
/** @typedef {{folder: string, plans: Plan[], surveys: SurveyFile[]}} Folder */

const holder = byId('folder');

async function draw() {
  /** @type {Folder} */
  const folder = await ask('GET', '/api/folder');
  const start = newPlan();
  const plans = folder.plans.length ? plansPart(folder) : welcome(folder);
  fill(holder, plans, surveysPart(folder.surveys), start, dropPart(), inspectPart());
  for (const plan of folder.plans) void fillCard(plan);
  for (const survey of folder.surveys) void fillSurvey(survey);
}

/** @param {Folder} folder */
function welcome({ folder }) {
  return el('section', { class: 'welcome' }, el('h1', { text: 'Welcome. There is no plan here yet.' }),
    el('p', { text: `A plan says how a cage is built; everything else, from the cut list to the papers, is made from it. It will be a file in the folder ‘${folder}’. Choose what to start from, give it a name, and press Start: you can change everything later.` }));
}

/** @param {Folder} folder */
function plansPart({ folder, plans }) {
  return el('section', { 'aria-label': 'Plans' },
    el('div', { class: 'folder-head' }, el('h1', { text: `Plans in ${folder}` }), button('New plan', toNew)),
    el('div', { class: 'panels', id: 'plans' }, plans.map(cardOf)));
}

function toNew() {
  const title = /** @type {HTMLInputElement | null} */ (document.querySelector('#new-plan input[name="title"]'));
  title?.scrollIntoView({ block: 'center' });
  title?.focus();
}

/** @param {Plan} plan */
function cardOf(plan) {
  return el('div', { class: 'plan-holder' }, button('Copy …', () => void copyOf(plan), { 'data-copy': plan.id, title: `A new plan that starts as ${plan.title} is now` }), el('a', { class: 'panel plan-card', href: `/plans/${encodeURIComponent(plan.id)}/cage`, 'data-plan-card': plan.id },
    el('div', { class: 'shot' }, el('span', { class: 'quiet', text: 'drawing …' })),
    el('div', { class: 'about' }, el('h2', { text: plan.title }),
      el('p', { class: 'more' }),
      el('p', { class: 'quiet small' }, el('code', { text: plan.file }), ` · changed ${sayWhen(plan.changed)}`))));
}

/** @param {Plan} plan */
async function copyOf(plan) {
  const title = await askText('What is the copy called?', { yes: 'Copy', hint: `It starts as ‘${plan.title}’ is now; the two go their own ways from there.` });
  if (!title?.trim()) return;
  const made = await ask('POST', `/api/folder/plans/${encodeURIComponent(plan.id)}/copy`, { title: title.trim() }).catch(() => null);
  if (made) location.assign(made.address);
}

/** @param {Plan} plan */
async function fillCard(plan) {
  const card = await ask('GET', `/api/folder/plans/${encodeURIComponent(plan.id)}`, undefined, { quiet: true }).catch(() => null);
  const shown = document.querySelector(`[data-plan-card="${CSS.escape(plan.id)}"]`);
  const more = shown?.querySelector('.more');
  if (!card || !more) return;
  const shot = shown?.querySelector('.shot');
  if (card.problems) {
    fill(more, el('span', { class: 'tag wrong', text: card.headline }));
    if (shot) fill(shot, el('span', { class: 'quiet', text: 'no picture' }));
    return;
  }
  fill(more, card.headline);
  if (shot) fill(shot, el('img', { alt: '', loading: 'lazy', src: `/api/folder/plans/${encodeURIComponent(plan.id)}/picture.svg?${card.revision}` }));
}

/** @param {SurveyFile[]} surveys */
function surveysPart(surveys) {
  if (!surveys.length) return null;
  return el('section', { class: 'folder-part', 'aria-label': 'Surveys' }, el('h2', { text: 'Surveys: what the tape says' }),
    el('ul', { class: 'surveys-list' }, surveys.map((survey) => el('li', {},
      el('a', { href: `/surveys/${encodeURIComponent(survey.id)}`, 'data-survey-card': survey.id }, el('span', {}, el('b', { class: 'name', text: survey.file }), el('small', { class: 'quiet', text: survey.file })), el('span', { class: 'quiet more' }))))));
}

/** @param {SurveyFile} survey */
async function fillSurvey(survey) {
  const card = await ask('GET', `/api/folder/surveys/${encodeURIComponent(survey.id)}`, undefined, { quiet: true }).catch(() => null);
  const shown = document.querySelector(`[data-survey-card="${CSS.escape(survey.id)}"]`);
  if (!card || !shown) return;
  const name = shown.querySelector('.name');
  if (name) name.textContent = card.title;
  const more = shown.querySelector('.more');
  if (more) more.textContent = card.headline;
}

/** A cage that somebody else planned has no plan here, and is looked at all the same. */
const inspectPart = () => el('section', { class: 'panel drop-here', 'aria-label': 'Inspect a car' }, el('p', {}, el('b', { text: 'A finished car, not planned here?' }), ' Walk round it clause by clause, by any rule book.'), el('a', { class: 'button', href: '/inspect', text: 'Inspect a car' }));

function dropPart() {
  const file = el('input', { type: 'file', accept: '.yaml,.yml', class: 'visually-hidden', tabindex: '-1', 'aria-label': 'A plan file', onchange: () => void taken() });
  const taken = async () => {
    for (const one of file.files ?? []) await takeFile(one);
  };
  return el('section', { class: 'panel drop-here', 'aria-label': 'Open a plan file' },
    el('p', {}, el('b', { text: 'Have a plan file already?' }), ' Drop it anywhere on this page, and a copy is put into this folder.'),
    button('Choose a file', () => file.click()), file);
}

startPage();
void draw();
