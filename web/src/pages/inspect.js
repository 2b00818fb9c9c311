// The Inspect page: a finished car walked round, a box for each reading, what is open at the end.

import '../inspect/inspect.css';
import { button, byId, choice, el, fill } from '../cage/dom.js';
import { JobBar } from '../fitup/job.js';
import { startPage } from '../frame.js';
import { clauseRow } from '../inspect/clause.js';
import { ask, onAnswer, onElsewhere, planId, planUrl, Refused } from '../net.js';
import { say } from '../say.js';

/** @typedef {import('../types').InspectionAnswer} Inspection */
/** @typedef {{answer: Inspection | null, books: import('../types').BookRow[], book: string, jobs: import('../types').ShopJob[], job: import('../types').ShopJob | null}} Shown */

startPage({ keys: [{ keys: 'Enter', words: 'keep the reading and go to the next box' }] });

const wanted = new URLSearchParams(location.search);
let book = wanted.get('book') ?? '';
let jobName = wanted.get('job') ?? '';
let onlyOpen = false;
/** @type {Shown | null} */
let shown = null;

const at = (/** @type {string} */ rest = '') => (planId() ? planUrl(`/inspect${rest}`) : `/api/inspect${rest}`);
const query = () => `?${new URLSearchParams({ book, job: jobName })}`;
const job = new JobBar(byId('job'), { start, choose: (name) => { jobName = name; void refresh(); } });

async function refresh() {
  shown = /** @type {Shown} */ (await ask('GET', at(query())));
  book = shown.book;
  jobName = shown.job?.name ?? jobName;
  history.replaceState(null, '', query());
  job.show(shown);
  draw();
}

function draw() {
  if (!shown) return;
  const { answer, books } = shown;
  const pick = choice([['', 'Choose a rule book …'], ...books.map((one) => /** @type {[string, string]} */ ([one.id, `${one.title}, ${one.edition}`]))], book, (value) => { book = value; void refresh(); }, { id: 'book' });
  fill(byId('inspect'), el('label', { class: 'inspect-book no-print' }, el('span', { text: 'By which rule book' }), pick), answer ? walkRound(answer) : el('p', { class: 'quiet', text: 'Choose the rule book that the car is looked at by.' }));
}

/** @param {Inspection} answer */
function walkRound(answer) {
  const seen = (/** @type {import('../types').InspectedRow} */ row) => !onlyOpen || answer.open_rows.includes(row.rule);
  const stations = answer.stations.map((station) => ({ ...station, rows: station.rows.filter(seen) })).filter((station) => station.rows.length);
  return el('div', {},
    el('p', { class: 'inspect-head', id: 'headline' }, el('b', { text: answer.headline }), answer.revision ? ` · plan ${answer.revision}` : ''),
    el('div', { class: 'toolbar no-print' }, button('Only what is open', () => { onlyOpen = !onlyOpen; draw(); }, { 'aria-pressed': String(onlyOpen) }),
      el('a', { class: 'button', href: at(`/report.pdf${query()}`), target: '_blank', text: answer.car ? 'Report (PDF)' : 'Blank sheet (PDF)' })),
    shown?.job ? null : el('p', { class: 'small', text: 'Start a record above to keep what you read; without one this is the list of what to look at.' }),
    stations.map((station) => el('section', { class: 'inspect-station', 'aria-label': station.name }, el('h2', { text: station.name }), el('ul', {}, station.rows.map((row) => clauseRow(row, { keep, withdraw, canWrite: () => job.canWrite() }))))),
    el('section', { class: 'inspect-open', 'aria-label': 'Open points' }, el('h2', { text: `Open points (${answer.open_points.length})` }), el('ol', {}, answer.open_points.map((point) => el('li', { text: point })))),
    el('p', { class: 'small quiet', text: answer.cautions.join(' ') }));
}

/** Keep what was read of that row; false where it was refused, which is said. @param {string} row @param {string} says */
async function keep(row, says) {
  if (!(await write('readings', { book, row, says }))) return false;
  const boxes = [...document.querySelectorAll('[data-row]')].map((one) => /** @type {HTMLElement} */ (one).dataset.row);
  const next = boxes[boxes.indexOf(row) + 1];
  await refresh();
  /** @type {HTMLElement | null} */ (document.querySelector(`[data-row="${CSS.escape(next ?? row)}"] :is(input, .answer)`))?.focus();
  return true;
}

/** @param {number} line */
async function withdraw(line) {
  if (await write('withdraw', { line })) await refresh();
}

/** @param {string} rest @param {Record<string, any>} body @returns {Promise<any>} null where it was refused */
async function write(rest, body) {
  try {
    return await ask('POST', at(`/${rest}`), { job: jobName, by: job.who, ...body });
  } catch (wrong) {
    if (!(wrong instanceof Refused)) throw wrong;
    return null;
  }
}

/** @param {{name: string, by: string, customer: string}} asked_for */
async function start(asked_for) {
  const made = await write('jobs', asked_for);
  if (!made) return;
  jobName = made.name;
  say(`${made.name} is in the shop’s record.`, 'done');
  await refresh();
}

for (const changed of [onAnswer, onElsewhere]) changed(() => void refresh());
void refresh();
