/** Words and orders that several parts of this page use. */

import { fieldLength, shortLength, toInches } from '../numbers.js';

/** @typedef {import('./types.js').Units} Units */
/** @typedef {import('./types.js').Member} Member */
/** @typedef {import('./types.js').Place} Place */

/** What a member can be, in the plan's words. */
/** How a place on a tube can be measured, and what that says to the builder. */
export const MEASURES = /** @type {const} */ ([
  ['up', 'up'], ['back', 'back'], ['across', 'across'], ['along', 'along it'], ['part', 'share of it'],
]);

export const AXES = /** @type {const} */ (['back', 'across', 'up']);

/** @type {Record<string, string>} the verdicts, worst first, each with its mark; never colour alone */
export const MARKS = { fail: '✗', 'looks broken': '‼', 'look at': '!', 'cannot tell': '?', 'looks kept': '~', pass: '✓', 'does not apply': '–' };
export const KINDS = Object.keys(MARKS);

/** The mark of a finding: an own check's is its own where it is wrong. @param {{judge: string, verdict: string}} finding */
export const signOf = ({ judge, verdict }) => (judge === 'own check' && verdict === 'fail' ? '◆' : MARKS[verdict]);

/** How it is drawn in the picture: an own check is never as a broken rule. @param {{judge: string, verdict: string}} finding @returns {'wrong' | 'doubt' | 'own' | 'note'} */
export function paintOf({ judge, verdict }) {
  if (!LOOKED_AT.includes(verdict)) return 'note';
  return judge === 'own check' ? 'own' : verdict === 'fail' ? 'wrong' : 'doubt';
}

/** Who judges, and what the builder reads; the two are never counted as one. @type {[string, string][]} */
export const JUDGES = [['by the book', 'Rule books'], ['own check', 'Own checks']];

/** Those that the builder has to look at. */
export const LOOKED_AT = KINDS.slice(0, 4);

/** Those that are wrong, or may well be. */
export const WRONG = KINDS.slice(0, 3);

/** @param {number} od @param {number} wall @param {Units} units `45 × 2.5`, or `1 3/4 × 0.095 in` */
export function tubeSize(od, wall, units) {
  if (units === 'mm') return `${trimmed(od, 2)} × ${trimmed(wall, 2)}`;
  const mark = toInches(od, 64);
  const outside = Math.abs(mark.remainder) < 0.01 ? mark.text.replace('"', '') : trimmed(od / 25.4, 3);
  return `${outside} × ${(wall / 25.4).toFixed(3)}"`;
}

/** @param {number} value @param {number} places without noughts at its end */
export const trimmed = (value, places) => String(Number(value.toFixed(places)));

/** @param {import('./types.js').Point} point @param {Units} units `back 1600 mm, across −500 mm, up 1235 mm` */
export const sayPoint = (point, units) => AXES.map((axis, n) => `${axis} ${shortLength(point[n], units)}`).join(', ');

/** Which place of a tube it is. @param {Member} member @param {Place} place */
export function placeTitle(member, place) {
  if (place.index === 0) return 'Start';
  return place.index === member.places.length - 1 ? 'End' : `Bend ${place.index}`;
}

/** What a place sits on. @param {Place} place */
export function sitsOn(place) {
  if (place.kind === 'member') return `on ${sayName(place.on ?? '')}`;
  if (place.kind === 'foot') return `on foot ${sayName(place.foot ?? '')}`;
  return place.kind === 'point' ? `at point ${sayName(place.point ?? '')}` : 'three numbers';
}

/** A length as the plan gets it: a bare number of mm, or inches with a fraction. @param {number} mm @param {Units} units */
export const planLength = (mm, units) => (units === 'mm' ? Number(mm.toFixed(2)) : fieldLength(mm, units));

/** A length at the nearest mark of the tape, 1 mm or 1/16 in, as the plan gets it. @param {number} mm @param {Units} units */
export const tapeLength = (mm, units) => (units === 'mm' ? Math.round(mm) : `${toInches(mm).text.replace('"', '')} in`);

/** Names are shown with spaces, as in the picture. @param {string} name */
export const sayName = (name) => name.replaceAll('_', ' ');
