/** The bends of a tube: one more, one less, another radius or die. */

import { shortLength } from '../numbers.js';
import { button, choice, el } from './dom.js';
import { numberField } from './number_field.js';
import { between, minus, size } from './reach.js';
import { placeTitle, planLength } from './words.js';

/** @typedef {import('./bench.js').Holder} Holder */
/** @typedef {import('./types.js').Member} Member */
/** @typedef {import('./types.js').Place} Place */

/** The dies that take the tube. @param {Holder} bench @param {Member} member */
const diesFor = (bench, member) => bench.now.choices.dies.filter((die) => Math.abs(die.od - member.od) < 0.5);

/** The radius of a place's bend, or the tube's. @param {Holder} bench @param {Member} member @param {Place|null} place */
function radiusOf(bench, member, place) {
  return place?.clr ?? bench.now.choices.tubes.find((t) => t.name === member.tube)?.clr ?? diesFor(bench, member)[0]?.clr ?? member.od * 3;
}

/**
 * Radius and die of a bend, and a button that takes it out; nothing at the ends.
 * @param {Holder} bench @param {Member} member @param {Place} place @param {import('./place_rows.js').PlaceActs} acts
 */
export function bendTools(bench, member, place, acts) {
  if (place.index === 0 || place.index === member.places.length - 1) return null;
  const { units } = bench.now.scene;
  const edit = (/** @type {Record<string, any>} */ what) => ({ bend: { name: member.name, place: place.index + 1, ...what, ...(acts.oneSide ? { one_side: true } : {}) } });
  const now = radiusOf(bench, member, place);
  const dies = diesFor(bench, member);
  const mine = dies.find((die) => Math.abs(die.clr - now) < 0.5);
  const title = placeTitle(member, place);
  return el('span', { class: 'cage-bend' },
    el('label', { class: 'cage-axis' }, el('span', { text: 'radius' }), numberField({
      label: `${title}: radius`, key: `radius ${place.index}`, value: now, units,
      onTry: (clr) => acts.onTry(edit({ clr })), onSet: (clr) => acts.onSet(edit({ clr })), onLeave: acts.onLeave,
    })),
    dies.length ? choice([['', 'no die of the shop'], ...dies.map((die) => /** @type {[string, string]} */ ([String(planLength(die.clr, units)), `die ${die.name}`]))], mine ? String(planLength(mine.clr, units)) : '',
      (clr) => clr && acts.onSet(edit({ clr: units === 'mm' ? Number(clr) : clr })), { 'aria-label': `${title}: die`, 'data-key': `die ${place.index}` }) : null,
    button('Take out', () => acts.onSet(edit({ straight: true })), { 'aria-label': `Take out ${title}`, 'data-key': `take out ${place.index}` }));
}

/** A bend more, put in the middle of the longest straight. @param {Holder} bench @param {Member} member @param {import('./place_rows.js').PlaceActs} acts */
export function addBend(bench, member, acts) {
  const { units } = bench.now.scene;
  const put = () => {
    const legs = member.places.slice(1).map((p, n) => ({ n, long: size(minus(p.at, member.places[n].at)) }));
    const { n } = legs.sort((a, b) => b.long - a.long)[0];
    const at = between(member.places[n].at, member.places[n + 1].at, 0.5).map((mm) => planLength(Math.round(mm), units));
    const clr = planLength(radiusOf(bench, member, null), units);
    acts.onSet({ bend: { name: member.name, place: n + 2, at, clr, ...(acts.oneSide ? { one_side: true } : {}) } });
    acts.onHandle(n + 1);
  };
  return button('Add a bend', put, { 'data-key': 'add bend', title: `In the middle of its longest straight, at radius ${shortLength(radiusOf(bench, member, null), units)}; drag it from there` });
}
