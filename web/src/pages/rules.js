// The Rules page: the books, every finding in a table, where it is in the picture, and what to do.

import '../rules/rules.css';
import { button, byId, el, fill } from '../cage/dom.js';
import { KINDS, LOOKED_AT, MARKS } from '../cage/words.js';
import { startPage } from '../frame.js';
import { ask, onAnswer, onElsewhere, planUrl } from '../net.js';
import { askBooks } from '../rules/books.js';
import { soft } from '../cut/sheet.js';
import { groupsOf, says } from '../rules/groups.js';
import { picture } from '../rules/picture.js';

/** @typedef {import('../rules/groups.js').Finding} Finding */
/** @typedef {{answer: import('../types').FindingsAnswer | null, books: import('../types').BookRow[]}} Rules */

const TAGS = /** @type {Record<string, string>} */ ({ fail: 'wrong', 'looks broken': 'warn', 'look at': 'warn', 'cannot tell': 'doubt', 'looks kept': 'off', pass: 'pass', 'does not apply': 'off' });
const HEADS = ['What is asked', 'Measured', 'Where'];
/** What is said of a limit in its row; the chosen finding says it in full. */
const UNSURE = /** @type {Record<string, string>} */ ({ remembered: 'figure from memory', restated: 'figure restated twice', 'restated once': 'figure restated once', shop: 'your own figure' });
/** @type {Rules | null} */
let rules = null;
/** @type {Finding | null} */
let chosen = null;
/** @type {'clause' | 'member'} */
let by = 'clause';
let kinds = new Set(LOOKED_AT);
let words = '';

const head = el('header', { class: 'rules-head' });
const filter = el('div', { class: 'rules-filter', role: 'group', 'aria-label': 'Which findings' });
const table = el('div');
const detail = el('section', { class: 'rules-detail', tabindex: '0', 'aria-label': 'The chosen finding', 'aria-live': 'polite' });
const stage = el('div', { class: 'picture' });
const find = el('input', { type: 'search', placeholder: 'Find', 'aria-label': 'Find in the findings', oninput: () => { words = find.value.toLowerCase(); drawTable(); } });
fill(byId('rules'), head, el('div', { class: 'rules-body' }, el('div', { class: 'rules-list' }, filter, table), el('div', { class: 'rules-side no-print' }, stage, detail)));
startPage({ keys: [{ keys: '↑ ↓', words: 'walk the findings' }, { keys: 'Enter', words: 'show where it is' }] });
const cage = picture(stage, (id) => choose(rows().find((f) => f.id === id) ?? null, true));

async function refresh() {
  const was = chosen;
  const [found, scene] = await Promise.all([ask('GET', planUrl('/rules')), ask('GET', planUrl('/scene'))]);
  rules = /** @type {Rules} */ (found);
  chosen = rows().find((f) => was && f.rule === was.rule && f.where.words === was.where.words) ?? null;
  if (!LOOKED_AT.some((kind) => counted(kind))) kinds = new Set(KINDS);
  if (scene?.box) cage.show(scene);
  draw();
}

function draw() {
  if (!rules) return;
  const { answer, books: known } = rules;
  const named = known.filter((book) => answer?.books.includes(book.id)).map((book) => `${book.title}, ${book.edition}`);
  fill(head, el('h1', { text: 'Rules' }), el('span', { class: 'stamp', text: answer?.headline ?? 'rules: cannot be checked' }),
    el('span', { class: 'print-only', text: `Revision ${answer?.revision}` }),
    el('span', { class: 'books-now small', text: named.length ? named.join('; ') : answer ? 'No rule book is chosen: only the body, driver and practice are checked.' : 'The plan’s text has problems; put them right first.' }),
    el('div', { class: 'toolbar' }, grouping(), button('Choose books', () => askBooks(known, answer?.books ?? []), { disabled: answer === null })));
  drawFilter();
  drawTable();
  drawDetail();
}

function grouping() {
  /** @type {['clause' | 'member', string][]} */
  const ways = [['clause', 'By clause'], ['member', 'By member']];
  return el('span', { class: 'toolbar', role: 'group', 'aria-label': 'Group the findings' }, ways.map(([way, said]) =>
    button(said, () => { by = way; draw(); }, { 'aria-pressed': String(by === way), 'data-by': way })));
}

function drawFilter() {
  fill(filter, KINDS.map((kind) => button(`${MARKS[kind]} ${counted(kind)} ${kind}`, () => {
    if (!kinds.delete(kind)) kinds.add(kind);
    drawFilter();
    drawTable();
    /** @type {HTMLElement | null} */ (filter.querySelector(`[data-kind="${kind}"]`))?.focus();
  }, { 'data-kind': kind, 'aria-pressed': String(kinds.has(kind)) })), find);
}

const rows = () => rules?.answer?.rows ?? [];
/** How many findings have that verdict, by rule book or own check. @param {string} kind */
const counted = (kind) => (rules?.answer?.counts ?? []).filter((one) => one.verdict === kind).reduce((sum, one) => sum + one.number, 0);
const shown = () => rows().filter((f) => kinds.has(f.verdict) && says(f, words));

function drawTable() {
  const groups = groupsOf(shown(), by);
  const none = el('p', { class: 'quiet', text: rows().length ? 'Nothing that the filter lets through.' : 'Nothing is checked yet.' });
  fill(table, groups.length ? el('table', { class: 'plain rules-table' },
    el('caption', { class: 'visually-hidden', text: 'Findings, worst first' }),
    el('thead', {}, el('tr', {}, HEADS.map((text) => el('th', { scope: 'col', text })))),
    groups.map((group) => el('tbody', {}, el('tr', { class: 'group' }, el('th', { scope: 'rowgroup', colspan: String(HEADS.length), text: group.title })), group.findings.map(rowOf)))) : none,
    el('p', { class: 'small quiet', text: (rules?.answer?.cautions ?? []).join(' ') }));
  cage.mark(shown(), chosen);
}

/** @param {Finding} finding */
function rowOf(finding) {
  const kind = finding.verdict;
  const todo = finding.advice || (kind === 'cannot tell' ? finding.why : '');
  return el('tr', { 'data-row': finding.id, 'data-kind': kind, class: finding === chosen ? 'selected' : '', onclick: () => choose(finding, false) },
    el('td', {}, el('span', { class: `tag ${TAGS[kind]}`, text: kind }), ' ', el('button', { type: 'button', class: 'pick', 'aria-pressed': String(finding === chosen), text: finding.title }), todo ? el('span', { class: 'todo' }, soft(todo)) : null),
    el('td', {}, soft(finding.measured?.said || '–'), finding.limit ? el('span', { class: 'wanted', text: `wanted ${finding.limit}` }) : null,
      UNSURE[finding.known] ? el('span', { class: 'wanted', text: UNSURE[finding.known] }) : null),
    el('td', {}, soft(finding.where.words)));
}

/** @param {Finding | null} finding @param {boolean} far bring its row into view */
function choose(finding, far) {
  chosen = finding;
  for (const row of table.querySelectorAll('tr[data-row]')) {
    const on = row instanceof HTMLElement && row.dataset.row === finding?.id;
    row.classList.toggle('selected', on);
    row.querySelector('.pick')?.setAttribute('aria-pressed', String(on));
    if (on && far) row.scrollIntoView({ block: 'nearest' });
  }
  cage.mark(shown(), chosen);
  drawDetail();
}

function drawDetail() {
  if (!rules) return;
  if (!chosen) return fill(detail, el('p', { class: 'quiet', text: 'Choose a finding in the table, or a mark in the picture, to see where it is and what to do.' }));
  const f = chosen;
  const kind = f.verdict;
  /** @type {[string, string][]} */
  const facts = [['measured', f.measured?.said ?? ''], ['wanted', f.limit], ['where', f.where.words], [f.judge, `${f.source}, ${f.edition}`], ['how sure', f.how_known]];
  fill(detail, el('h2', { text: f.title }), el('p', {}, el('span', { class: `tag ${TAGS[kind]}`, text: kind }), ' ', f.advice ? el('span', { class: 'do', text: f.advice }) : null),
    f.why ? el('p', { text: f.why }) : null,
    el('dl', { class: 'facts' }, facts.filter(([, said]) => said).flatMap(([term, said]) => [el('dt', { text: term }), el('dd', { text: said })])));
}

/** @param {KeyboardEvent} event */
function walk(event) {
  const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
  const all = /** @type {HTMLElement[]} */ ([...table.querySelectorAll('.pick')]);
  const next = all[all.indexOf(/** @type {HTMLElement} */ (document.activeElement)) + (step ?? 0)];
  if (!step || !all.includes(/** @type {HTMLElement} */ (document.activeElement)) || !next) return;
  event.preventDefault();
  next.focus();
}

table.addEventListener('keydown', walk);
cage.onPick((/** @type {any} */ pick) => {
  if (!pick?.member) return;
  by = 'member';
  find.value = words = pick.member.toLowerCase();
  draw();
});
void refresh();
onAnswer(() => void refresh());
onElsewhere(() => void refresh());
