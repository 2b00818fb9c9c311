// The Papers page: build the whole set, see what is in it and how old it is, take it away.

import '../papers/papers.css';
import { byId, el, fill } from '../cage/dom.js';
import { startPage } from '../frame.js';
import { ask, onElsewhere, onAnswer, planUrl } from '../net.js';
import { makeBar, sayWhen } from '../papers/make_bar.js';
import { printHints } from '../papers/print_hints.js';

/** @typedef {{name: string, size: number, words: string}} File */
/** @typedef {{title: string, files: File[]}} Group */
/** @typedef {{revision: string, when: number, older: string | null, groups: Group[]}} Built */
/** @typedef {{built: Built | null, now: string | null, folder: string}} Papers */

const STEPS = 'The whole set is made anew: the build book in A4 and US Letter, every wrap as PDF page, SVG and DXF, tables, views and numbers. It takes some seconds.';
const status = el('div', { id: 'papers-status' });
const take = el('div', { id: 'papers-take' });
const list = el('div', { id: 'papers-list' });
const bar = makeBar({
  kind: 'build', words: 'Build the papers', stop: 'Stop building', done: 'The papers are built.',
  onDone: () => void refresh(),
});

/** @param {string} name @param {boolean} [keep] */
const fileUrl = (name, keep = false) =>
  planUrl(`/papers/files/${name.split('/').map(encodeURIComponent).join('/')}${keep ? '?keep' : ''}`);

async function refresh() {
  /** @type {Papers} */
  const papers = await ask('GET', planUrl('/papers'));
  fill(status, statusOf(papers));
  fill(take, takeOf(papers));
  fill(list, papers.built ? papers.built.groups.map(groupOf) : nothingYet());
  bar.label(papers.built ? 'Build the papers again' : 'Build the papers', !papers.built || papers.built.older !== null);
}

/** @param {Papers} papers */
function statusOf({ built, now, folder }) {
  if (!built) return el('p', {}, el('span', { class: 'tag note', text: 'not built yet' }), ` The plan is at revision `, el('code', { text: now ?? '–' }), '.');
  return [
    el('p', { class: 'revision-line' },
      built.older ? el('span', { class: 'tag doubt', text: 'older than the plan' }) : el('span', { class: 'tag pass', text: 'the plan as it is now' }),
      el('span', {}, 'Revision ', el('code', { text: built.revision })),
      el('span', { class: 'quiet', text: `built ${sayWhen(built.when)}` })),
    built.older ? el('p', { class: 'wrong-words', text: `Do not cut from these: ${built.older}. Build them again.` }) : null,
    el('p', { class: 'quiet small' }, 'They are also in the folder ', el('code', { text: folder }), ' beside the plan.'),
  ];
}

/** @param {Papers} papers */
function takeOf({ built }) {
  if (!built) return '';
  const books = built.groups.flatMap((group) => group.files).filter((file) => file.name.startsWith('papers-'));
  return el('ul', { class: 'keep-list' },
    books.map((file) => el('li', {}, keepLink(fileUrl(file.name, true), `Build book, ${file.name.includes('letter') ? 'US Letter' : 'A4'}`, `PDF, ${file.words}`, 'main'))),
    el('li', {}, keepLink(planUrl('/papers/all.zip'), 'Everything in one file', 'zip')));
}

/** @param {string} href @param {string} words @param {string} what @param {string} [kind] */
function keepLink(href, words, what, kind = '') {
  return el('a', { class: `button ${kind}`.trim(), href, download: '' }, el('span', { text: words }), el('span', { class: kind ? '' : 'quiet', text: what }));
}

/** @param {Group} group @param {number} n */
function groupOf(group, n) {
  const many = group.files.length;
  return el('details', { class: 'files-group', open: n === 0 },
    el('summary', {}, el('span', { text: group.title }), el('span', { class: 'quiet', text: `${many} file${many === 1 ? '' : 's'}` })),
    el('div', { class: 'scroll' }, el('table', { class: 'plain' },
      el('caption', { class: 'visually-hidden', text: group.title }),
      el('thead', {}, el('tr', {}, ...['File', 'Size', 'Take'].map((words, i) => el('th', { scope: 'col', class: i === 1 ? 'numbers' : '', text: words })))),
      el('tbody', {}, group.files.map(rowOf)))));
}

/** @param {File} file */
function rowOf(file) {
  const shown = /\.(pdf|svg)$/.test(file.name);
  return el('tr', {},
    el('td', {}, el('code', { text: file.name })),
    el('td', { class: 'numbers', text: file.words }),
    el('td', {},
      el('a', { href: fileUrl(file.name, true), download: '', 'aria-label': `Download ${file.name}` }, 'Download'),
      shown ? el('a', { href: fileUrl(file.name), target: '_blank', rel: 'noopener', 'aria-label': `Show ${file.name}` }, 'Show') : null));
}

function nothingYet() {
  return el('section', { class: 'panel' }, el('h2', { text: 'What you will get' }),
    el('ul', {}, ...[
      'A build book to print: summary, findings, cut list, lengths to buy, bend sheets, weld map, strength, and every wrap at true scale.',
      'Every wrap alone as SVG and DXF for a plotter or laser.',
      'Every table as CSV, and the numbers behind them as JSON.',
    ].map((words) => el('li', { text: words }))));
}

function draw() {
  fill(byId('papers'),
    el('h1', { text: 'Papers' }),
    el('div', { class: 'papers-grid' },
      el('div', {}, el('section', { class: 'panel', 'aria-label': 'The papers' }, status, bar.holder, el('p', { class: 'small quiet', text: STEPS }), take), printHints()),
      list));
}

startPage();
draw();
void refresh();
onElsewhere(() => void refresh());
onAnswer(() => void refresh());
