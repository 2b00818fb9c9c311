// The Rules page: what to do first, then the books, every finding in a table, where it is in the picture.

import '../rules/rules.css';
import { button, byId, el, fill } from '../cage/dom.js';
import { countSaid } from '../cage/findings_list.js';
import { JUDGES, LOOKED_AT, signOf } from '../cage/words.js';
import { startPage } from '../frame.js';
import { ask, onAnswer, onElsewhere, planUrl } from '../net.js';
import { actionsList } from '../rules/actions.js';
import { askBooks } from '../rules/books.js';
import { showDrivers } from '../rules/drivers.js';
import { soft } from '../cut/sheet.js';
import { groupsOf, says } from '../rules/groups.js';
import { picture } from '../rules/picture.js';
import { tagOf } from '../rules/tag.js';

/** @typedef {import('../rules/groups.js').Finding} Finding */
/** @typedef {import('../types').Action} Action */
/** @typedef {{answer: import('../types').FindingsAnswer | null, books: import('../types').BookRow[]}} Rules */

const HEADS = ['What is asked', 'Measured', 'Where'];
/** What is said of a limit in its row; the chosen finding says it in full. */
const UNSURE = /** @type {Record<string, string>} */ ({ remembered: 'figure from memory', restated: 'figure restated twice', 'restated once': 'figure restated once', shop: 'your own figure' });
/** @type {Rules | null} */
let rules = null;
/** @type {Finding | null} */
let chosen = null;
/** @type {Action | null} */
let doing = null;
/** @type {'do' | 'clause' | 'member' | 'people'} */
let by = 'do';
/** Which findings are shown, where that was chosen. @type {Map<string, boolean>} */
const asked = new Map();
let words = '';

const head = el('header', { class: 'rules-head' });
const filter = el('div', { class: 'rules-filter', role: 'group', 'aria-label': 'Which findings' });
const table = el('div');
const detail = el('section', { class: 'rules-detail', tabindex: '0', 'aria-label': 'The chosen finding', 'aria-live': 'polite' });
const stage = el('div', { class: 'picture' });
const find = el('input', { type: 'search', placeholder: 'Find', 'aria-label': 'Find in the findings', oninput: () => { words = find.value.toLowerCase(); drawTable(); } });
fill(byId('rules'), head, el('div', { class: 'rules-body' }, el('div', { class: 'rules-list' }, filter, table), el('div', { class: 'rules-side no-print' }, stage, detail)));
startPage({ keys: [{ keys: '↑ ↓', words: 'walk the list' }, { keys: 'Enter', words: 'show where it is' }] });
const cage = picture(stage, (id) => choose(rows().find((f) => f.id === id) ?? null, true));

async function refresh() {
  const was = chosen;
  const [found, scene] = await Promise.all([ask('GET', planUrl('/rules')), ask('GET', planUrl('/scene'))]);
  rules = /** @type {Rules} */ (found);
  chosen = rows().find((f) => was && f.rule === was.rule && f.where.words === was.where.words) ?? null;
  doing = null;
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
  /** @type {['do' | 'clause' | 'member' | 'people', string][]} */
  const ways = [['do', 'What to do'], ['clause', 'By clause'], ['member', 'By member'], ['people', 'Who sits in it']];
  return el('span', { class: 'toolbar', role: 'group', 'aria-label': 'How the findings are listed' }, ways.map(([way, said]) =>
    button(said, () => { by = way; draw(); }, { 'aria-pressed': String(by === way), 'data-by': way })));
}

function drawFilter() {
  filter.hidden = by === 'do' || by === 'people';
  fill(filter, JUDGES.map(([judge, title]) => el('span', { class: 'rules-judge', role: 'group', 'aria-label': title }, el('b', { class: 'small', text: title }), [...countSaid(rows(), judge)].map(([said, { number, like }]) =>
    button(`${signOf(like)} ${number} ${said}`, () => {
      asked.set(keyOf(like), !lets(like));
      drawFilter();
      drawTable();
      /** @type {HTMLElement | null} */ (filter.querySelector(`[data-judge="${judge}"][data-kind="${said}"]`))?.focus();
    }, { 'data-judge': judge, 'data-kind': said, 'aria-pressed': String(lets(like)) })))), find);
}

const rows = () => rules?.answer?.rows ?? [];
/** @param {Finding} f */
const keyOf = (f) => `${f.judge} ${f.said}`;
/** Whether the filter lets it through. @param {Finding} f */
const lets = (f) => asked.get(keyOf(f)) ?? (LOOKED_AT.includes(f.verdict) || !rows().some((one) => LOOKED_AT.includes(one.verdict)));
const shown = () => (by === 'do' ? rows().filter((f) => LOOKED_AT.includes(f.verdict)) : rows().filter((f) => lets(f) && says(f, words)));

function drawTable() {
  if (by === 'people') {
    void showDrivers(table);
    return mark();
  }
  const cautions = el('p', { class: 'small quiet', text: (rules?.answer?.cautions ?? []).join(' ') });
  const list = by === 'do' ? actionsList(rules?.answer ?? null, { doing, act }) : findingsTable();
  fill(table, list, cautions);
  mark();
}

function findingsTable() {
  const groups = groupsOf(shown(), by === 'member' ? 'member' : 'clause');
  if (!groups.length) return el('p', { class: 'quiet', text: rows().length ? 'Nothing that the filter lets through.' : 'Nothing is checked yet.' });
  return el('table', { class: 'plain rules-table' },
    el('caption', { class: 'visually-hidden', text: 'Findings, worst first' }),
    el('thead', {}, el('tr', {}, HEADS.map((text) => el('th', { scope: 'col', text })))),
    groups.map((group) => el('tbody', {}, el('tr', { class: 'group' }, el('th', { scope: 'rowgroup', colspan: String(HEADS.length), text: group.title })), group.findings.map(rowOf))));
}

/** @param {Finding} finding */
function rowOf(finding) {
  const todo = finding.advice || (finding.verdict === 'cannot tell' ? finding.why : '');
  return el('tr', { 'data-row': finding.id, 'data-kind': finding.verdict, 'data-judge': finding.judge, class: finding === chosen ? 'selected' : '', onclick: () => choose(finding, false) },
    el('td', {}, tagOf(finding), ' ', el('button', { type: 'button', class: 'pick', 'aria-pressed': String(finding === chosen), text: finding.title }), todo ? el('span', { class: 'todo' }, soft(todo)) : null),
    el('td', {}, soft(finding.measured?.said || '–'), finding.limit ? el('span', { class: 'wanted', text: `wanted ${finding.limit}` }) : null,
      UNSURE[finding.known] ? el('span', { class: 'wanted', text: UNSURE[finding.known] }) : null),
    el('td', {}, soft(finding.where.words)));
}

/** Show a thing to do: its tubes in the picture, its findings below. @param {Action} action */
function act(action) {
  doing = doing === action ? null : action;
  chosen = null;
  drawTable();
  drawDetail();
}

/** @param {Finding | null} finding @param {boolean} far bring its row into view */
function choose(finding, far) {
  chosen = finding;
  doing = null;
  if (far && (by === 'do' || by === 'people')) by = 'clause';
  if (far) draw();
  for (const row of table.querySelectorAll('tr[data-row]')) {
    const on = row instanceof HTMLElement && row.dataset.row === finding?.id;
    row.classList.toggle('selected', on);
    row.querySelector('.pick')?.setAttribute('aria-pressed', String(on));
    if (on && far) row.scrollIntoView({ block: 'nearest' });
  }
  mark();
  drawDetail();
}

const settled = () => rows().filter((f) => doing?.findings.includes(f.id));
function mark() {
  if (doing) cage.mark(settled(), null, doing.tubes);
  else cage.mark(shown(), chosen);
}

function drawDetail() {
  if (!rules) return;
  if (doing) {
    const all = settled();
    return fill(detail, el('h2', { text: doing.words }), el('p', {}, tagOf(doing), ' ', doing.why), el('ul', {}, all.map((f) => el('li', {}, button(f.words, () => choose(f, true), { class: 'link' })))));
  }
  if (!chosen) return fill(detail, el('p', { class: 'quiet', text: 'Choose a line of the list, or a mark in the picture, to see where it is and what to do.' }));
  const f = chosen;
  /** @type {[string, string][]} */
  const facts = [['measured', f.measured?.said ?? ''], ['wanted', f.limit], ['where', f.where.words], [f.judge, `${f.source}, ${f.edition}`], ['how sure', f.how_known]];
  fill(detail, el('h2', { text: f.title }), el('p', {}, tagOf(f), ' ', f.advice ? el('span', { class: 'do', text: f.advice }) : null),
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
