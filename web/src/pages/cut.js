// The Cut & bend page: the shop's sheets as they print, per sheet and per member, and each of them to keep.

import '../papers/papers.css';
import '../cut/cut.css';
import { byId, el, fill } from '../cage/dom.js';
import { memberSheet } from '../cut/member_sheet.js';
import { heading, sheetPaper, wrapPart } from '../cut/sheet.js';
import { tubeCard } from '../cut/tube_card.js';
import { startPage } from '../frame.js';
import { ask, onAnswer, onElsewhere, planUrl } from '../net.js';
import { makeBar, sayWhen } from '../papers/make_bar.js';
import { printHints } from '../papers/print_hints.js';

/** @typedef {import('../cut/sheet.js').Sheets} Sheets */
/** @typedef {{sheets: Sheets | null, older: string | null, when?: number, can: boolean, whole: boolean}} Answer */

const KINDS = new Set(['bend sheet']);
/** @type {Answer | null} */
let known = null;
let drawn = '';
/** The tube whose card is shown: what is typed there is drawn over only where the plan has changed. */
let tubeShown = '';
const nav = el('nav', { class: 'cut-nav no-print', 'aria-label': 'Sheets' });
const paper = el('div', { id: 'sheet', tabindex: '-1', 'aria-live': 'off' });
const status = el('p', { class: 'revision-line', role: 'status' });
const tools = el('div', { class: 'toolbar' });
const bar = makeBar({ kind: 'sheets', words: 'Make the sheets', stop: 'Stop', done: 'The sheets are made.', onDone: () => void refresh(false), onDoing: early });

/** What the page shows is there before the papers are set. @param {string} what */
function early(what) {
  if (what.startsWith('setting the papers') && !(known?.sheets && !known.older)) void refresh(false);
}

/** @param {boolean} make make the sheets where there are none of this revision */
async function refresh(make) {
  known = /** @type {Answer} */ (await ask('GET', planUrl('/cut')));
  const stale = !known.sheets || known.older || !known.whole;
  document.body.classList.toggle('papers-wanting', !known.whole);
  fill(status, statusWords(known));
  fill(tools, known.sheets && known.whole ? toolsOf() : null);
  bar.label(known.sheets ? 'Make the sheets again' : 'Make the sheets');
  bar.holder.hidden = !stale && !bar.isRunning();
  const key = JSON.stringify([known.sheets?.revision, known.older, known.whole]);
  if (key !== drawn) {
    drawn = key; // what is read or pressed just now is not drawn over with the same
    drawNav();
    drawSheet();
  }
  if (make && stale && known.can && !here().startsWith('tube:')) {
    bar.holder.hidden = false;
    void bar.run();
  }
}

/** @param {Answer} answer */
function statusWords({ sheets, older, when, can }) {
  if (!sheets) return can ? '' : [el('span', { class: 'tag doubt', text: 'no sheets' }), 'The plan’s text has problems; put them right first.'];
  if (older) return [el('span', { class: 'tag doubt', text: 'older than the plan' }), el('b', { text: `Do not cut from these: ${older}.` })];
  return [el('span', { class: 'tag pass', text: 'the plan as it is now' }), el('span', { class: 'quiet', text: `made ${sayWhen(when ?? 0)}, for ${sheets.shop}` })];
}

function toolsOf() {
  /** @type {[string, string][]} */
  const zips = [['All, A4', '?paper=a4'], ['All, US Letter', '?paper=letter']];
  return zips.map(([words, query]) => el('a', { class: 'button', href: planUrl(`/cut/all.zip${query}`), download: '', 'data-zip': query }, `${words} (zip)`));
}

/** @returns {{id: string, words: string, more: string}[][]} sheets of the whole cage, then members */
function places() {
  const sheets = known?.sheets;
  if (!sheets) return [[], []];
  const whole = sheets.sheets.filter((sheet) => !KINDS.has(sheet.kind)).map((sheet) => ({ id: sheet.name, words: sheet.kind === 'summary' ? 'Summary' : sheet.title, more: '' }));
  whole.push({ id: 'all_wraps', words: 'All wraps', more: String(sheets.wraps.length) });
  const members = sheets.members.map((member) => ({ id: `member:${member.name}`, words: member.shown, more: member.bends ? `${member.bends} bend${member.bends === 1 ? '' : 's'}` : '' }));
  return [whole, members];
}

const here = () => decodeURIComponent(location.hash.slice(1)) || 'cut_list';

function drawNav() {
  const [whole, members] = places();
  if (!whole.length) return fill(nav);
  fill(nav, el('h2', { text: 'The whole cage' }), listOf(whole), el('h2', { text: 'Member by member' }), listOf(members));
}

/** @param {{id: string, words: string, more: string}[]} ones */
function listOf(ones) {
  return el('ul', {}, ones.map(({ id, words, more }) => el('li', {},
    el('a', { href: `#${encodeURIComponent(id)}`, 'aria-current': id === here() ? 'true' : null }, el('span', { text: words }), more ? el('span', { class: 'quiet', text: more }) : null))));
}

function drawSheet() {
  const sheets = known?.sheets;
  const asked = here();
  if (asked.startsWith('tube:')) {
    paper.classList.remove('sheet-old');
    if (tubeShown !== asked) fill(paper, tubeCard(asked.slice(5)));
    tubeShown = asked;
    return;
  }
  tubeShown = '';
  if (!sheets) return fill(paper, known?.can ? el('p', { class: 'quiet', text: 'The sheets of this plan are being made.' }) : null);
  paper.classList.toggle('sheet-old', Boolean(known?.older));
  const id = asked;
  if (id.startsWith('member:')) return fill(paper, memberSheet(id.slice(7), sheets), caution(sheets));
  if (id === 'all_wraps') return fill(paper, allWraps(sheets), printHints(), caution(sheets));
  const sheet = sheets.sheets.find((one) => one.name === id) ?? sheets.sheets[0];
  return fill(paper, sheetPaper(sheet, sheets), caution(sheets));
}

/** @param {Sheets} sheets */
function allWraps(sheets) {
  return el('article', { class: 'sheet', 'aria-label': 'All wraps' }, heading('All wraps', sheets),
    el('p', { class: 'takes no-print' }, el('span', { class: 'quiet', text: 'Download' }), Object.entries(sheets.papers).map(([size, [, name]]) =>
      el('a', { href: planUrl(`/cut/files/${name}?keep`), class: 'pdf', download: '', 'data-file': name, text: `All wraps, PDF ${size === 'a4' ? 'A4' : 'US Letter'}, 1:1` }))),
    el('div', { class: 'wraps-of' }, sheets.wraps.map((wrap) => el('section', {}, el('h3', {}, el('a', { href: `#${encodeURIComponent(`member:${wrap.member}`)}`, text: wrap.shown })), wrapPart(wrap)))));
}

/** @param {Sheets} sheets */
function caution(sheets) {
  return el('p', { class: 'small quiet', text: sheets.cautions.join(' ') });
}

/** @param {KeyboardEvent} event arrows walk the list of sheets */
function walk(event) {
  const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
  const links = /** @type {HTMLElement[]} */ ([...nav.querySelectorAll('a')]);
  const at = links.indexOf(/** @type {HTMLElement} */ (document.activeElement));
  if (!step || at < 0) return;
  event.preventDefault();
  links[Math.max(0, Math.min(links.length - 1, at + step))].focus();
}

function turnTo() {
  const [whole, members] = places();
  const link = document.activeElement?.getAttribute('href');
  drawNav();
  drawSheet();
  if (link && [...whole, ...members].length) /** @type {HTMLElement | null} */ (nav.querySelector(`a[href="${CSS.escape(link).replace(/\\#/, '#')}"]`))?.focus();
  scrollTo({ top: 0 });
}

startPage({ keys: [{ keys: '↑ ↓', words: 'walk the list of sheets' }, { keys: 'Enter', words: 'show the sheet' }] });
fill(byId('cut'), el('div', { class: 'cut-head' }, el('h1', { text: 'Cut & bend' }), status, bar.holder, tools), el('div', { class: 'cut-grid' }, nav, paper));
nav.addEventListener('keydown', walk);
addEventListener('hashchange', turnTo);
void refresh(true);
for (const changed of [onAnswer, onElsewhere]) changed(() => { tubeShown = ''; drawSheet(); void refresh(false); });
