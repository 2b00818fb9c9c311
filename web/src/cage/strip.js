/** The strip over the picture: weight, cost, least gaps and findings, each with what the last change did to it. */

import { button, el, fill } from './dom.js';
import { countSaid, markOf } from './findings_list.js';
import { JUDGES, LOOKED_AT } from './words.js';

/** @typedef {import('./bench.js').Holder} Holder */
/** @typedef {import('./types.js').Figures} Figures */
/** @typedef {import('./types.js').Finding} Finding */
/** @typedef {{figures: Figures|null, findings: Finding[]}} Weighed */

/**
 * @param {HTMLElement} holder
 * @param {Holder} bench
 * @param {{findings: () => void, gap: (gap: import('./types.js').Gap) => void}} shows
 */
export function strip(holder, bench, shows) {
  const draw = () => {
    const { trial, later } = bench.now;
    const saved = { figures: bench.now.figures, findings: bench.now.findings };
    const tried = trial && { figures: trial.figures ?? saved.figures, findings: [...(trial.findings ?? bench.now.quick), ...bench.now.slow] };
    const now = tried ?? saved;
    const before = tried ? saved : bench.now.before;
    if (!now.figures) return fill(holder);
    const compared = Boolean(before?.figures);
    fill(holder,
      weight(now.figures, compared),
      cost(now.figures, compared, trial ? null : later.bars),
      ...gaps(now.figures, compared, saved.figures, shows.gap),
      trial ? el('span', { class: 'cage-trying', text: 'trying, not saved' }) : null,
      counts(now.findings, before?.findings, bench, shows.findings));
  };
  bench.on(['scene', 'figures', 'trial', 'later'], draw);
  draw();
}

/** @param {string} words @param {import('./dom.js').Child[]} value @param {Record<string, any>} [has] */
const figure = (words, value, has = {}) => el('div', { class: 'cage-figure', ...has }, el('span', { class: 'cage-figure-words', text: words }), el('span', { class: 'cage-figure-value' }, value));

/**
 * What has changed, in words; nothing where nothing has.
 * @param {{value: number|null, said: string}|null|undefined} step
 * @param {'more is better'|'less is better'|'neither'} which
 */
export function change(step, which) {
  if (!step?.value || !/[1-9]/.test(step.said)) return null;
  const way = which === 'neither' ? 'same' : step.value > 0 === (which === 'more is better') ? 'better' : 'worse';
  return el('span', { class: 'cage-change', 'data-way': way }, step.said.replace(/^-/, '−'));
}

/** @param {number} step how many more */
const counted = (step) => change({ value: step, said: step > 0 ? `+${step}` : String(step) }, 'less is better');

/** @param {Figures} now @param {boolean} compared */
function weight(now, compared) {
  return figure('Weight', [now.mass.said, compared ? change(now.changes?.mass, 'neither') : null], { 'data-figure': 'weight' });
}

/** The cost of tube: an estimate, until a cutting plan has said; each with its own difference. @param {Figures} now @param {boolean} compared @param {import('../types').Buying|null} planned */
function cost(now, compared, planned) {
  const buy = planned?.price.value != null ? planned : now.buy;
  if (buy.price.value === null) return figure('Tube', [now.run.said, el('small', { text: ` ${buy.price.why}` })], { 'data-figure': 'cost' });
  const bars = buy.bars === null ? '' : ` ${buy.bars} bar${buy.bars === 1 ? '' : 's'}`;
  const step = planned || compared ? change(buy.change, 'neither') : null;
  return figure('Tube to buy', [buy.price.said, planned ? el('small', { text: bars }) : null, step],
    { 'data-figure': 'cost', title: planned ? 'By the cutting plan.' : 'Every bar used to its last millimetre. The cutting plan follows.' });
}

/**
 * The least gaps; those of the saved plan, dim, while a trial has none.
 * @param {Figures} now @param {boolean} compared @param {Figures|null} saved @param {(gap: any) => void} show
 */
function gaps(now, compared, saved, show) {
  const rows = /** @type {['helmet'|'person'|'body', string][]} */ ([['helmet', 'Helmet gap'], ['person', 'People gap'], ['body', 'Body gap']]);
  return rows.flatMap(([key, words]) => {
    const kept = now.gaps ? null : saved?.gaps?.[key];
    const gap = now.gaps?.[key] ?? kept;
    if (!gap) return [];
    const into = (gap.gap.value ?? 0) < 0;
    return [button('', () => show(gap), { class: 'cage-figure', 'data-figure': key, 'data-stale': kept ? 'yes' : null, title: `${gap.words}: show it` })].map((made) => {
      fill(made, el('span', { class: 'cage-figure-words', text: words }), el('span', { class: 'cage-figure-value' }, into ? el('span', { class: 'wrong-words', text: gap.said }) : gap.said, compared ? change(now.changes?.[key], 'more is better') : null));
      return made;
    });
  });
}

/** What the rule books say and what our own checks say, each counted by itself. @param {Finding[]} findings @param {Finding[]|undefined} before @param {Holder} bench @param {() => void} show */
function counts(findings, before, bench, show) {
  const rows = JUDGES.map(([judge, words]) => {
    const now = countSaid(findings, judge);
    const old = before && countSaid(before, judge);
    const asked = new Map([...(old ?? []), ...now].filter(([, { like }]) => LOOKED_AT.includes(like.verdict)));
    const none = judge === 'own check' ? 'problem' : 'fail';
    return el('span', { class: 'cage-judge' }, el('span', { class: 'cage-count-words', text: words }), asked.has(none) ? null : el('span', { class: 'cage-count', 'data-count': none }, el('b', { text: 0 }), el('span', { class: 'cage-count-words', text: none })), [...asked].map(([said, { like }]) =>
      el('span', { class: 'cage-count', 'data-count': said }, markOf(like), el('b', { text: now.get(said)?.number ?? 0 }), el('span', { class: 'cage-count-words', text: said }), old ? counted((now.get(said)?.number ?? 0) - (old.get(said)?.number ?? 0)) : null)));
  });
  const checking = bench.now.later.checking ? el('small', { class: 'cage-checking', text: bench.now.later.checking }) : null;
  return el('button', { type: 'button', class: 'cage-counts', onclick: show, title: 'To the findings (G)' }, rows, checking);
}
