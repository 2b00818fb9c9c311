// What every page has: undo and redo, the saved mark, conflicts, the plan's problems, dropped files, keys.

import './look.css';
import { ask, change, edit, fetchState, listen, onLink, onStale, onState, planId, redo, state, takeState, undo, Refused } from './net.js';
import { askOneOf, element, problemList, say, sayWrong } from './say.js';

/** @typedef {import('./types').PlanState} State */

/** @type {{keys: string, words: string}[]} */
const known = [
  { keys: 'Ctrl Z', words: 'take the last change back' },
  { keys: 'Ctrl Y', words: 'do it again' },
  { keys: '?', words: 'this list' },
];

/** The plan's units. @returns {import('./shapes').Units} */
export const units = () => state()?.units ?? (document.body.dataset.units === 'in' ? 'in' : 'mm');

/**
 * Set up the frame; every page's module calls it once.
 * @param {{keys?: {keys: string, words: string}[]}} [page] keys: what the page adds to the list of keys
 */
export function startPage({ keys = [] } = {}) {
  known.unshift(...keys);
  document.getElementById('keys')?.addEventListener('click', showKeys);
  document.addEventListener('keydown', onKey);
  takeDrops();
  reveal();
  if (!planId()) return;
  bindUndo();
  onState(showState);
  onStale(showStale);
  onLink(showLink);
  fetchState().catch(() => {});
  listen();
}

/** The bundle is here: what the page says about a missing one goes; on a phone its tab may be out of view. */
function reveal() {
  document.getElementById('no-bundle')?.remove();
  document.querySelector('.tabs [aria-current]')?.scrollIntoView({ block: 'nearest', inline: 'center' });
}

function bindUndo() {
  document.getElementById('undo')?.addEventListener('click', doUndo);
  document.getElementById('redo')?.addEventListener('click', doRedo);
}

async function doUndo() {
  const words = state()?.undo;
  if (words && (await undo())) say(`Taken back: ${words}.`, 'done');
}

async function doRedo() {
  const words = state()?.redo;
  if (words && (await redo())) say(`Done again: ${words}.`, 'done');
}

/** @param {KeyboardEvent} event */
function onKey(event) {
  const target = /** @type {HTMLElement} */ (event.target);
  const typing = target.closest?.('input, textarea, select, [contenteditable]') !== null;
  if (document.querySelector('dialog[open]')) return;
  if ((event.ctrlKey || event.metaKey) && !event.altKey) return onControl(event, target);
  if (event.key === '?' && !typing) {
    event.preventDefault();
    showKeys();
  }
}

/** Ctrl+Z in a text being typed is the field's own. @param {KeyboardEvent} event @param {HTMLElement} target */
function onControl(event, target) {
  if (target.matches?.('textarea') || (target.matches?.('input') && target.dataset.typed === 'yes')) return;
  const key = event.key.toLowerCase();
  if (key === 'z' && !event.shiftKey) void doUndo();
  else if (key === 'y' || (key === 'z' && event.shiftKey)) void doRedo();
  else return;
  event.preventDefault();
}

/** Show the list of keys. */
export function showKeys() {
  const box = element('dialog', '', 'keys');
  box.append(element('h2', 'Keys'));
  const list = element('dl');
  for (const one of known) {
    const keys = element('dt');
    for (const key of one.keys.split(' ')) keys.append(element('kbd', key), ' ');
    list.append(keys, element('dd', one.words));
  }
  const close = element('button', 'Close', 'main');
  close.addEventListener('click', () => box.close());
  box.append(list, close);
  box.setAttribute('aria-label', 'Keys');
  box.addEventListener('close', () => box.remove());
  document.body.append(box);
  box.showModal();
}

/** @param {State} now */
function showState(now) {
  button('undo', now.undo && `Undo: ${now.undo}`, 'Nothing to undo');
  button('redo', now.redo && `Redo: ${now.redo}`, 'Nothing to redo');
  const saved = document.getElementById('saved');
  if (saved && !document.body.classList.contains('unlinked')) {
    saved.textContent = now.saved ? 'Saved' : 'Not saved yet';
    saved.dataset.saved = now.saved ? 'yes' : 'no';
  }
  text('plan-title', now.title);
  text('plan-revision', now.revision ?? '');
  document.body.dataset.units = now.units;
  showProblems(now);
  if (now.conflict) showConflict(now.conflict);
  else clearBar('disk');
}

/** Without the server nothing can be saved, and the page says so. @param {boolean} up */
function showLink(up) {
  document.body.classList.toggle('unlinked', !up);
  const now = state();
  if (!up) text('saved', 'No connection');
  else if (now) showState(now);
  if (!up) say('Cagewright does not answer; trying again. What was saved is safe.', 'wrong');
  else say('');
}

/** @param {string} id @param {string | null} words @param {string} otherwise */
function button(id, words, otherwise) {
  const one = /** @type {HTMLButtonElement | null} */ (document.getElementById(id));
  if (!one) return;
  one.disabled = !words;
  one.title = words || otherwise;
  one.setAttribute('aria-label', words || otherwise);
}

/** @param {string} id @param {string} words */
function text(id, words) {
  const one = document.getElementById(id);
  if (one) one.textContent = words;
}

/** @param {State} now */
function showProblems(now) {
  const box = document.getElementById('problems');
  if (!box) return;
  box.hidden = now.problems.length === 0;
  document.body.classList.toggle('has-problems', !box.hidden);
  if (box.hidden) return;
  const many = now.problems.length;
  const list = problemList(now.problems, onProblem ?? undefined);
  box.replaceChildren(
    element('h2', now.shown ? (many === 1 ? 'A place to put right' : `${many} places to put right`) : many === 1 ? 'The plan has a problem' : `The plan has ${many} problems`),
    element('p', now.shown ? 'The cage is shown as it is, each place marked. Papers and pushes wait until they are put right.' : 'Shown is the last plan that could be read. Put the text right, here or in the file.'),
    list,
  );
}

/** @type {((problem: import('./types').Problem) => void) | null} */
let onProblem = null;

/** Each problem's line becomes a button that calls this. @param {(problem: import('./types').Problem) => void} fn */
export function goToProblem(fn) {
  onProblem = fn;
  const now = state();
  if (now) showProblems(now);
}

/**
 * A bar over the page with a choice.
 * @param {string} name
 * @param {string} words
 * @param {{words: string, main?: boolean, go: () => void}[]} choices
 */
function showBar(name, words, choices) {
  const bar = document.getElementById('conflict');
  if (!bar) return;
  const row = element('span', '', 'actions');
  for (const choice of choices) {
    const one = element('button', choice.words, choice.main ? 'main' : '');
    one.addEventListener('click', choice.go);
    row.append(one);
  }
  bar.replaceChildren(element('p', words), row);
  bar.dataset.about = name;
  bar.hidden = false;
}

/** @param {string} name */
function clearBar(name) {
  const bar = document.getElementById('conflict');
  if (bar && bar.dataset.about === name) bar.hidden = true;
}

/** @param {string} words */
function showConflict(words) {
  const gone = words.includes('no longer in its folder'); // there is no file to take
  const keep = { words: 'Keep what is here', main: gone, go: () => void resolve('mine') };
  showBar('disk', words, gone ? [keep] : [keep, { words: 'Take the file', main: true, go: () => void resolve('disk') }]);
}

/** @param {'mine' | 'disk'} keep */
async function resolve(keep) {
  if (await change('/conflict', { keep })) say(keep === 'mine' ? 'Kept what was here.' : 'Took the file.', 'done');
}

/** @param {{state: State, edit: any}} late */
function showStale({ state: theirs, edit: mine }) {
  const take = () => {
    takeState(theirs);
    clearBar('stale');
  };
  const choices = [{ words: 'Take theirs', main: true, go: take }];
  if (mine) choices.push({ words: 'Show mine', main: false, go: () => void showMine(mine, take) });
  showBar('stale', 'This plan has changed in another tab or another program; your last change was not made.', choices);
}

/** @param {any} mine @param {() => void} take */
async function showMine(mine, take) {
  const detail = Object.entries(mine)
    .map(([key, value]) => `${key}: ${typeof value === 'string' ? value : JSON.stringify(value)}`)
    .join('\n');
  const choice = await askOneOf('Your change was:', [
    { words: 'Leave it', value: 'leave' },
    { words: 'Take theirs, then make mine', value: 'both', main: true },
  ], detail);
  if (choice !== 'both') return;
  take();
  if (await edit(mine)) say('Your change is made on top of theirs.', 'done');
}

const SCAN_UNITS = [
  { words: 'No', value: 'no' }, { words: 'millimetres', value: 'mm' }, { words: 'centimetres', value: 'cm' },
  { words: 'metres', value: 'm' }, { words: 'inches', value: 'in' },
];
const PLANS = /\.(ya?ml)$/i;
const SCANS = /\.(stl|ply|obj|glb|xyz|e57)$/i;

function takeDrops() {
  let depth = 0;
  const lit = (/** @type {boolean} */ on) => document.body.classList.toggle('dropping', on);
  document.addEventListener('dragenter', (event) => {
    if (event.dataTransfer?.types.includes('Files')) lit(++depth > 0);
  });
  document.addEventListener('dragleave', () => lit((depth = Math.max(0, depth - 1)) > 0));
  document.addEventListener('dragover', (event) => event.preventDefault());
  document.addEventListener('drop', (event) => {
    event.preventDefault();
    lit((depth = 0) > 0);
    for (const file of event.dataTransfer?.files ?? []) void takeFile(file);
  });
}

/**
 * Take a plan or a scan from a file of the builder's.
 * @param {File} file
 */
export async function takeFile(file) {
  if (PLANS.test(file.name)) return takePlan(file);
  if (SCANS.test(file.name) && planId()) return takeScan(file);
  const wanted = planId() ? 'a plan (.yaml) or a scan (.stl, .ply, .obj, .glb, .xyz, .e57)' : 'a plan (.yaml)';
  return sayWrong({ error: `‘${file.name}’ is no file for here; wanted ${wanted}.` });
}

/** @param {File} file */
async function takePlan(file) {
  say(`Reading ${file.name} …`);
  const added = await sent('POST', `/api/plans?name=${encodeURIComponent(file.name)}`, file);
  if (added) location.assign(`/plans/${encodeURIComponent(added.id ?? added.state?.id)}/cage`);
}

/** @param {File} file */
async function takeScan(file) {
  const units = await askOneOf(`Take ‘${file.name}’ as the scan of this body?`, SCAN_UNITS, 'Which units did the scanner’s program write? On the Shell page they can be guessed by its size.');
  if (!units || units === 'no') return;
  say(`Reading ${file.name} …`);
  const answer = await change(`/scan?name=${encodeURIComponent(file.name)}&units=${units}`, file, 'PUT');
  if (answer) say(`The scan ‘${file.name}’ is in the plan; place it on the Shell page.`, 'done');
}

/** @param {string} method @param {string} url @param {File} file @returns {Promise<any>} null where refused */
async function sent(method, url, file) {
  try {
    return await ask(method, url, file);
  } catch (wrong) {
    if (wrong instanceof Refused) return null;
    throw wrong;
  }
}
