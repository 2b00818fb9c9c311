/** The findings, worst first, with a filter; choosing one shows where it is in the picture. */

import { button, el, fill } from './dom.js';
import { JUDGES, KINDS, LOOKED_AT, signOf } from './words.js';

/** @typedef {import('./types.js').Finding} Finding */
/** @typedef {import('./bench.js').Holder} Holder */

/** What each judge calls its findings, worst first: how many, and one that shows its mark. @param {Finding[]} findings @param {string} judge */
export function countSaid(findings, judge) {
  /** @type {Map<string, {number: number, like: Finding}>} */
  const counts = new Map();
  const mine = findings.filter((f) => f.judge === judge).sort((a, b) => KINDS.indexOf(a.verdict) - KINDS.indexOf(b.verdict));
  for (const like of mine) counts.set(like.said, { number: (counts.get(like.said)?.number ?? 0) + 1, like: counts.get(like.said)?.like ?? like });
  return counts;
}

/** The mark of a finding; a rule book's and an own check's look apart. @param {Finding} f */
export const markOf = (f) => el('span', { class: 'cage-mark', 'data-kind': f.verdict, 'data-own': f.judge === 'own check' ? 'yes' : null, 'aria-hidden': 'true' }, signOf(f));

/**
 * @param {HTMLElement} holder
 * @param {Holder} bench
 * @param {(finding: Finding) => void} onShow
 */
export function findingsList(holder, bench, onShow) {
  /** @type {Map<string, boolean>} */
  const chosen = new Map();
  const shows = (/** @type {Finding} */ f) => chosen.get(`${f.judge} ${f.said}`) ?? LOOKED_AT.includes(f.verdict);
  let words = '';
  let shown = '';
  const filter = el('div', { class: 'cage-filter', role: 'group', 'aria-label': 'Which findings' });
  const list = el('ol', { class: 'cage-findings' });
  const looked = el('input', { type: 'search', placeholder: 'Find in the findings', 'aria-label': 'Find in the findings', 'data-key': 'find', oninput: () => { words = looked.value.toLowerCase(); drawList(); } });
  const about = el('input', { type: 'checkbox', onchange: () => drawList() });

  const drawFilter = () => {
    fill(filter, ...JUDGES.map(([judge, words]) => el('span', { class: 'cage-filter', role: 'group', 'aria-label': words }, el('b', { class: 'small', text: words }), ...[...countSaid(bench.now.findings, judge)].map(([said, { number, like }]) =>
      button(`${signOf(like)} ${number} ${said}`, () => {
        chosen.set(`${judge} ${said}`, !shows(like));
        drawFilter();
        drawList();
      }, { class: 'cage-chip', 'data-kind': like.verdict, 'data-own': judge === 'own check' ? 'yes' : null, 'aria-pressed': String(shows(like)) })))));
  };
  const drawList = () => {
    const found = bench.now.findings.filter((f) => shows(f) && textOf(f).includes(words) && (!about.checked || touches(f, bench)));
    fill(list, ...found.map((f) => item(f, f.id === shown, () => {
      shown = f.id;
      drawList();
      onShow(f);
      /** @type {HTMLElement|null} */ (list.querySelector("[aria-current='true']"))?.focus();
    })));
    if (!found.length) list.append(el('li', { class: 'cage-empty' }, bench.now.findings.length ? 'Nothing that the filter lets through.' : 'Nothing is checked yet.'));
  };
  bench.on(['figures', 'scene'], () => { drawFilter(); drawList(); });
  bench.on(['chosen'], () => about.checked && drawList());
  list.addEventListener('keydown', (event) => step(event, list));
  const waiting = el('p', { class: 'cage-waiting quiet', role: 'status' });
  bench.on(['later'], ({ later, checked }) => {
    waiting.hidden = !later.checking;
    waiting.textContent = later.checking ? `Body, driver, torch, belts and sight: ${later.checking} ${checked ? 'Until then they stand as checked last.' : 'They are not in the list yet.'}` : '';
  });
  fill(holder, filter, el('div', { class: 'cage-find' }, looked, el('label', { class: 'cage-check' }, about, 'Only what is chosen')), waiting, list,
    el('p', { class: 'cage-caution' }, 'Not a certificate: check the current rule book of your series. The scrutineer and the licensed engineer decide.'));
  drawFilter();
  drawList();
}

/** @param {Finding} f */
const textOf = (f) => `${f.words} ${f.source} ${f.where.members.join(' ')} ${f.where.joints.join(' ')} ${f.where.feet.join(' ')}`.toLowerCase();

/** @param {Finding} finding @param {Holder} bench */
function touches(finding, bench) {
  const { members, joints, feet } = bench.now.chosen;
  const { where } = finding;
  return where.members.some((n) => members.includes(n)) || where.joints.some((n) => joints.includes(n) || members.includes(n.split('.')[0])) || where.feet.some((n) => feet.includes(n));
}

/** @param {Finding} f @param {boolean} shown @param {() => void} act */
function item(f, shown, act) {
  return el('li', {}, el('button', { type: 'button', class: 'cage-finding', 'data-kind': f.verdict, 'data-finding': f.id, 'aria-current': String(shown), onclick: act },
    markOf(f),
    el('span', { class: 'cage-finding-text' },
      el('b', { text: `${f.said}: ${f.title}` }),
      el('span', { text: [f.measured?.said && `measured ${f.measured.said}`, f.limit && `wanted ${f.limit}`].filter(Boolean).join(', ') }),
      f.advice ? el('span', { class: 'cage-advice', text: f.advice }) : null,
      f.why ? el('span', { class: 'cage-why', text: f.why }) : null,
      el('small', { text: [f.judge === 'own check' ? 'own check' : f.source, f.where.words].filter(Boolean).join(' · ') }))));
}

/** @param {KeyboardEvent} event @param {HTMLElement} list */
function step(event, list) {
  if (event.key !== 'ArrowDown' && event.key !== 'ArrowUp') return;
  const all = /** @type {HTMLElement[]} */ ([...list.querySelectorAll('button')]);
  const here = all.indexOf(/** @type {HTMLElement} */ (document.activeElement));
  const next = all[here + (event.key === 'ArrowDown' ? 1 : -1)];
  if (here < 0 || !next) return;
  event.preventDefault();
  next.focus();
}
