/** The findings, worst first, with a filter; choosing one shows where it is in the picture. */

import { button, el, fill } from './dom.js';
import { KINDS, LOOKED_AT, MARKS } from './words.js';

/** @typedef {import('./types.js').Finding} Finding */
/** @typedef {import('./bench.js').Holder} Holder */

/** @param {Finding[]} findings @returns {Record<string, number>} */
export function countKinds(findings) {
  const counts = Object.fromEntries(KINDS.map((kind) => [kind, 0]));
  for (const finding of findings) counts[finding.verdict] += 1;
  return counts;
}

/**
 * @param {HTMLElement} holder
 * @param {Holder} bench
 * @param {(finding: Finding) => void} onShow
 */
export function findingsList(holder, bench, onShow) {
  let kinds = new Set(LOOKED_AT);
  let words = '';
  let shown = '';
  const filter = el('div', { class: 'cage-filter', role: 'group', 'aria-label': 'Which findings' });
  const list = el('ol', { class: 'cage-findings' });
  const looked = el('input', { type: 'search', placeholder: 'Find in the findings', 'aria-label': 'Find in the findings', 'data-key': 'find', oninput: () => { words = looked.value.toLowerCase(); drawList(); } });
  const about = el('input', { type: 'checkbox', onchange: () => drawList() });

  const drawFilter = () => {
    const counts = countKinds(bench.now.findings);
    fill(filter, ...KINDS.map((kind) => button(`${MARKS[kind]} ${counts[kind]} ${kind}`, () => {
      kinds = toggledSet(kinds, kind);
      drawFilter();
      drawList();
    }, { class: 'cage-chip', 'data-kind': kind, 'aria-pressed': String(kinds.has(kind)) })));
  };
  const drawList = () => {
    const found = bench.now.findings.filter((f) => kinds.has(f.verdict) && textOf(f).includes(words) && (!about.checked || touches(f, bench)));
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

/** @param {Set<string>} set @param {string} kind */
function toggledSet(set, kind) {
  const next = new Set(set);
  if (!next.delete(kind)) next.add(kind);
  return next;
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
  const kind = f.verdict;
  return el('li', {}, el('button', { type: 'button', class: 'cage-finding', 'data-kind': kind, 'data-finding': f.id, 'aria-current': String(shown), onclick: act },
    el('span', { class: 'cage-mark', 'data-kind': kind, 'aria-hidden': 'true' }, MARKS[kind]),
    el('span', { class: 'cage-finding-text' },
      el('b', { text: `${kind}: ${f.title}` }),
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
