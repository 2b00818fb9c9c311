/** The strip over the picture: weight, cost, least gaps and findings, each with what the last change did to it. */

import { fixed, sayMass, shortLength } from '../numbers.js';
import { button, el, fill } from './dom.js';
import { countKinds } from './findings_list.js';
import { JUDGES, LOOKED_AT, MARKS } from './words.js';

/** @typedef {import('./bench.js').Holder} Holder */
/** @typedef {import('./types.js').Units} Units */
/** @typedef {import('./types.js').Figures} Figures */
/** @typedef {import('./types.js').Finding} Finding */
/** @typedef {{figures: Figures|null, findings: Finding[]}} Weighed */

/** @typedef {'better'|'worse'|'same'} Way */

/**
 * @param {HTMLElement} holder
 * @param {Holder} bench
 * @param {{findings: () => void, gap: (gap: import('./types.js').Gap) => void}} shows
 */
export function strip(holder, bench, shows) {
  const draw = () => {
    const { scene, trial, later } = bench.now;
    const saved = { figures: bench.now.figures, findings: bench.now.findings };
    const tried = trial && { figures: trial.figures ?? saved.figures, findings: [...(trial.findings ?? bench.now.quick), ...bench.now.slow] };
    const now = tried ?? saved;
    const before = tried ? saved : bench.now.before;
    if (!now.figures) return fill(holder);
    const { units } = scene;
    fill(holder,
      weight(now.figures, before?.figures, units),
      cost(now.figures, before?.figures, trial ? null : later.bars),
      ...gaps(now.figures, before?.figures, saved.figures, units, shows.gap),
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
 * @param {number|null|undefined} step
 * @param {(size: number) => string} words
 * @param {'more is better'|'less is better'|'neither'} which
 */
export function change(step, words, which) {
  if (!step || !Number.isFinite(step)) return null;
  const said = words(Math.abs(step));
  if (!/[1-9]/.test(said)) return null;
  const way = which === 'neither' ? 'same' : step > 0 === (which === 'more is better') ? 'better' : 'worse';
  return el('span', { class: 'cage-change', 'data-way': way }, `${step > 0 ? '+' : '−'}${said}`);
}

/** @param {Figures} now @param {Figures|null|undefined} before @param {Units} units */
function weight(now, before, units) {
  return figure('Weight', [sayMass(now.mass_kg, units), change(before && now.mass_kg - before.mass_kg, (kg) => (kg < 0.1 && units === 'mm' ? `${fixed(kg * 1000, 0)} g` : sayMass(kg, units)), 'neither')], { 'data-figure': 'weight' });
}

/** The cost of tube: at least, until a cutting plan has said. @param {Figures} now @param {Figures|null|undefined} before @param {any} bars the cutting plan's answer */
function cost(now, before, bars) {
  const { buy } = now;
  const currency = buy.currency ? ` ${buy.currency}` : '';
  const step = before?.buy.cost != null && buy.cost !== null ? change(buy.cost - before.buy.cost, (sum) => fixed(sum, 2), 'neither') : null;
  if (bars?.cost != null) return figure('Tube to buy, by cutting plan', [`${fixed(bars.cost, 2)}${currency}`, el('small', { text: ` ${bars.bars} bar${bars.bars === 1 ? '' : 's'}` }), step], { 'data-figure': 'cost' });
  if (buy.cost === null) return figure('Tube', [metres(now), el('small', { text: ` ${buy.why || 'no prices'}` })], { 'data-figure': 'cost' });
  return figure('Tube to buy, estimate', [`≥ ${fixed(buy.cost, 2)}${currency}`, step], { 'data-figure': 'cost', title: 'At least: every bar used to its last millimetre. The cutting plan follows.' });
}

/** @param {Figures} now */
const metres = (now) => `${fixed(now.tubes.reduce((sum, t) => sum + t.metres, 0), 1)} m`;

/**
 * The least gaps; those of the saved plan, dim, while a trial has none.
 * @param {Figures} now @param {Figures|null|undefined} before @param {Figures|null} saved @param {Units} units @param {(gap: any) => void} show
 */
function gaps(now, before, saved, units, show) {
  const rows = /** @type {['helmet'|'driver'|'body', string][]} */ ([['helmet', 'Helmet gap'], ['driver', 'Driver gap'], ['body', 'Body gap']]);
  return rows.flatMap(([key, words]) => {
    const kept = now.gaps ? null : saved?.gaps?.[key];
    const gap = now.gaps?.[key] ?? kept;
    const old = before?.gaps?.[key];
    if (!gap) return [];
    const said = gap.mm < 0 ? `${shortLength(-gap.mm, units)} into` : shortLength(gap.mm, units);
    return [button('', () => show(gap), { class: 'cage-figure', 'data-figure': key, 'data-stale': kept ? 'yes' : null, title: `${gap.words}: show it` })].map((made) => {
      fill(made, el('span', { class: 'cage-figure-words', text: words }), el('span', { class: 'cage-figure-value' }, gap.mm < 0 ? el('span', { class: 'wrong-words', text: said }) : said, change(old && gap.mm - old.mm, (mm) => shortLength(mm, units), 'more is better')));
      return made;
    });
  });
}

/** What the rule books say and what our own checks say, each counted by itself. @param {Finding[]} findings @param {Finding[]|undefined} before @param {Holder} bench @param {() => void} show */
function counts(findings, before, bench, show) {
  const rows = JUDGES.map(([judge, words]) => {
    const mine = (/** @type {Finding[]} */ some) => countKinds(some.filter((one) => one.judge === judge));
    const now = mine(findings);
    const old = before && mine(before);
    const kinds = LOOKED_AT.filter((kind) => kind === 'fail' || now[kind] || old?.[kind]);
    return el('span', { class: 'cage-judge' }, el('span', { class: 'cage-count-words', text: words }), kinds.map((kind) =>
      el('span', { class: 'cage-count', 'data-count': kind }, el('span', { class: 'cage-mark', 'data-kind': kind, 'aria-hidden': 'true' }, MARKS[kind]), el('b', { text: now[kind] }), el('span', { class: 'cage-count-words', text: kind }), old ? change(now[kind] - old[kind], (n) => String(n), 'less is better') : null)));
  });
  const checking = bench.now.later.checking ? el('small', { class: 'cage-checking', text: bench.now.later.checking }) : null;
  return el('button', { type: 'button', class: 'cage-counts', onclick: show, title: 'To the findings (G)' }, rows, checking);
}
