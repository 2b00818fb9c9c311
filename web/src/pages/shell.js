// The Shell page: tape readings, the car and the wishes, and the scan; of a plan, or of a survey alone.

import '../shell/shell.css';
import { button, byId, el, fill } from '../cage/dom.js';
import { startPage } from '../frame.js';
import { ask, onElsewhere, planId, planUrl, Refused, state } from '../net.js';
import { problemList } from '../say.js';
import { bodyPicture } from '../shell/body_picture.js';
import { draftBar } from '../shell/draft_bar.js';
import { fieldsForm } from '../shell/fields_form.js';
import { nextCarPanel } from '../shell/next_car.js';
import { obstaclesPanel } from '../shell/obstacles.js';
import { readingsList } from '../shell/readings_list.js';
import { scanPanel } from '../shell/scan_panel.js';
import { surveyStore } from '../shell/survey_store.js';

/** @typedef {import('../shell/scan_panel.js').About} About */
/** @typedef {import('../shell/survey_store.js').Survey} Survey */

const holder = byId('shell');
const head = el('header', { class: 'shell-head' });
const tabRow = el('div', { class: 'shell-tabs no-print', role: 'tablist', 'aria-label': 'Parts of this page' });
const panes = el('div');
const stage = el('div', { class: 'picture' });
startPage({ keys: [{ keys: 'Enter', words: 'to the next reading' }] });
fill(holder, head, tabRow, panes);
const picture = bodyPicture(stage);
/** @type {import('../types').Scene | null} */
let scene = null;

/** @param {[id: string, words: string, pane: HTMLElement][]} parts @param {string} first */
function tabs(parts, first) {
  fill(panes, parts.map(([id, words, pane]) => {
    pane.id = `pane-${id}`;
    pane.setAttribute('role', 'tabpanel');
    pane.setAttribute('aria-label', words);
    return pane;
  }));
  /** @param {string} chosen */
  const turn = (chosen) => {
    for (const [id, , pane] of parts) pane.hidden = id !== chosen;
    for (const tab of tabRow.querySelectorAll('button')) {
      tab.setAttribute('aria-selected', String(tab.dataset.tab === chosen));
      tab.tabIndex = tab.dataset.tab === chosen ? 0 : -1;
    }
  };
  fill(tabRow, parts.map(([id, words]) => button(words, () => turn(id), { role: 'tab', 'data-tab': id, 'aria-controls': `pane-${id}` })));
  tabRow.addEventListener('keydown', (event) => {
    const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (!step) return;
    const all = [...tabRow.querySelectorAll('button')];
    const next = all[(all.findIndex((tab) => tab.tabIndex === 0) + step + all.length) % all.length];
    turn(next.dataset.tab ?? '');
    next.focus();
  });
  turn(first);
}

/** The panes of one survey. @param {string} id */
async function surveyPanes(id) {
  const store = surveyStore(id);
  await store.read();
  const survey = store.now();
  if (survey?.problems.length) return { store, survey, readings: textProblems(survey), wishes: null };
  const list = readingsList(store);
  const readings = el('div', {}, el('div', { class: 'readings-grid' }, list.nav, list.cards), draftBar(store));
  const wishes = survey ? el('div', {}, fieldsForm(store, 'car', 'The car and who sits in it'), fieldsForm(store, 'wishes', 'What you wish for'), draftBar(store)) : null;
  store.onSurvey((now) => picture.survey(now.points, now.units, scene));
  return { store, survey, readings, wishes };
}

/** @param {Survey} survey */
function textProblems(survey) {
  return el('section', { class: 'panel' }, el('h2', { text: `${survey.file} has problems` }), el('p', { text: 'Put them right in the file, then load this page again.' }), problemList(survey.problems));
}

/** What was typed into the survey last taken back, and done again. @param {import('../shell/survey_store.js').Store} store */
function turning(store) {
  const holder = el('span', { class: 'survey-turns no-print' });
  store.onSurvey(({ undo, redo }) => fill(holder,
    button('Undo', () => void store.turn('undo'), { id: 'survey-undo', disabled: !undo, title: undo, 'aria-label': undo ? `Undo in the survey: ${undo}` : 'Nothing to undo in the survey' }),
    button('Redo', () => void store.turn('redo'), { id: 'survey-redo', disabled: !redo, title: redo, 'aria-label': redo ? `Redo in the survey: ${redo}` : 'Nothing to redo in the survey' })));
  return holder;
}

/** Where there is no plan whose change the keys would take back. @param {import('../shell/survey_store.js').Store} store */
function turnByKeys(store) {
  document.addEventListener('keydown', (event) => {
    const key = event.key.toLowerCase();
    if (!(event.ctrlKey || event.metaKey) || !['z', 'y'].includes(key) || /** @type {HTMLElement} */ (event.target).closest('[data-typed], textarea')) return;
    event.preventDefault();
    void store.turn(key === 'y' || event.shiftKey ? 'redo' : 'undo');
  });
}

/** @param {Survey | null} survey @param {string | null} id of it @param {{id: string, file: string}[]} surveys @param {import('../shell/survey_store.js').Store} [store] */
function headOf(survey, id, surveys, store) {
  const select = el('select', { onchange: () => turnTo(select.value) }, survey ? null : el('option', { value: '', text: 'choose one' }), surveys.map((one) => el('option', { value: one.id, text: one.file })));
  select.value = id ?? '';
  fill(head, el('h1', { text: planId() ? 'Shell' : (survey?.title ?? 'Survey') }),
    survey ? el('span', { class: 'quiet' }, 'Survey ', el('code', { text: survey.file }), survey.datum ? `, measured from ${survey.datum}` : '') : null,
    store ? turning(store) : null,
    surveys.length > 1 || (surveys.length && !survey) ? el('label', { class: 'field' }, 'Survey', select) : null,
    survey ? el('a', { class: 'no-print', href: `/api/surveys/${encodeURIComponent(id ?? '')}/text`, download: '', text: 'Download it' }) : null);
}

/** @param {string} id */
function turnTo(id) {
  const there = new URL(location.href);
  there.searchParams.set('survey', id);
  location.assign(there);
}

/** No survey yet: what it is for, and how to begin one. @param {boolean} others whether the folder has some */
function noSurvey(others) {
  return el('section', { class: 'panel', 'aria-label': 'No survey' }, el('h2', { text: 'This plan was not laid out from tape readings' }),
    others ? el('p', { text: 'The folder has surveys; choose one above if it is of this car.' }) : null,
    el('p', { text: 'A survey is what the tape says on the stripped shell, reading by reading, each with a sketch. A first plan is laid out from it, and slips of the tape show themselves.' }),
    el('p', { class: 'toolbar' }, button('Start a survey', () => void newSurvey(), { class: 'main' }), el('a', { class: 'button', href: '/api/surveys/sheet.pdf', download: '' }, 'Survey sheet to print (PDF)')));
}

async function newSurvey() {
  try {
    const made = await ask('POST', '/api/folder/plans', { start: 'survey', title: state()?.title ?? 'New survey', units: state()?.units ?? 'mm' });
    location.assign(made.address);
  } catch (wrong) {
    if (!(wrong instanceof Refused)) throw wrong;
  }
}

/** @returns {Promise<About>} */
const about = () => ask('GET', planUrl('/shell'));

async function planPage() {
  const known = await about();
  const wanted = new URLSearchParams(location.search).get('survey') ?? known.survey;
  scene = await ask('GET', planUrl('/scene'));
  if (scene) picture.show(scene);
  const again = async () => {
    scene = await ask('GET', planUrl('/scene'));
    if (scene) picture.show(scene);
    return about();
  };
  const scan = scanPanel({ view: picture.view, again });
  scan.show(known);
  const made = wanted ? await surveyPanes(wanted) : null;
  headOf(made?.survey ?? null, wanted, known.surveys, made?.store);
  const scanPane = el('div', { class: 'scan-split' }, stage, scan.holder);
  tabs([['readings', 'Readings', made?.readings ?? noSurvey(known.surveys.length > 0)], ...wishesTab(made?.wishes ?? null), ['scan', 'Body and scan', scanPane], ['way', 'In the way', obstaclesPanel()]], known.survey || !known.scan ? 'readings' : 'scan');
  onElsewhere(async () => scan.show(await again()));
}

/** @param {HTMLElement | null} wishes @returns {[string, string, HTMLElement][]} */
const wishesTab = (wishes) => (wishes ? [['wishes', 'Car and wishes', wishes]] : []);

/** @param {string} id */
async function surveyPage(id) {
  const made = await surveyPanes(id);
  headOf(made.survey, id, [], made.store);
  turnByKeys(made.store);
  tabs([['readings', 'Readings', made.readings], ...wishesTab(made.wishes), ['points', 'Points in the picture', el('div', { class: 'scan-split' }, stage, pointsTable(made.store))], ...(made.survey?.problems.length ? [] : [/** @type {[string, string, HTMLElement]} */ (['next', 'Next car', nextCarPanel(made.store)])])], 'readings');
}

/** @param {import('../shell/survey_store.js').Store} store */
function pointsTable(store) {
  const body = el('tbody');
  store.onSurvey((survey) => fill(body, survey.points.map((point) =>
    el('tr', {}, el('th', { scope: 'row', text: point.shown }), point.said.map((value) => el('td', { class: 'numbers', text: value.said }))))));
  return el('section', { class: 'panel', 'aria-label': 'Points' }, el('h2', { text: 'Points that the readings give' }), el('table', { class: 'plain' },
    el('thead', {}, el('tr', {}, el('th', { scope: 'col', text: 'point' }), ['back', 'across', 'up'].map((text) => el('th', { scope: 'col', class: 'numbers', text })))), body));
}

const alone = holder.dataset.survey;
void (alone ? surveyPage(alone) : planPage());
