/** The places of a tube as fields: what each sits on, and its numbers. */

import { bendTools } from './bend_tools.js';
import { choice, el } from './dom.js';
import { numberField, show } from './number_field.js';
import { placeAt } from './reach.js';
import { AXES, MEASURES, placeTitle, sayName } from './words.js';

/** @typedef {import('./types.js').Scene} Scene */
/** @typedef {import('./bench.js').Holder} Holder */
/** @typedef {import('./types.js').Member} Member */
/** @typedef {import('./types.js').Place} Place */

/**
 * @typedef {object} PlaceActs
 * @property {(edit: Record<string, any>) => void} onTry
 * @property {(edit: Record<string, any>) => void} onSet
 * @property {() => void} onLeave
 * @property {(index: number, axis?: string) => void} onHandle the builder turns to this place, and to one of its numbers
 * @property {(index: number) => void} [onNewFoot] make a foot that this end stands on
 * @property {boolean} oneSide
 */

/**
 * The edit that puts a place elsewhere; a foot or named point that it stands on goes along.
 * @param {Member} member
 * @param {number} place its index; the plan counts places from 1
 * @param {Record<string, any>} where `{up: 700}`, `{at: [..]}`, ...
 * @param {boolean} [oneSide]
 */
export function moveOf(member, place, where, oneSide = false) {
  const host = ['point', 'foot'].includes(member.places[place].kind) && !where.to;
  return { move: { members: member.name, places: place + 1, ...where, ...(host ? { host } : {}), ...(oneSide ? { one_side: true } : {}) } };
}

/**
 * @param {Holder} bench
 * @param {Member} member
 * @param {number|null} handled index of the place that has the handle in the picture
 * @param {PlaceActs} acts
 * @param {number|null} [only] this place alone
 */
export function placeRows(bench, member, handled, acts, only = null) {
  return el('ol', { class: 'cage-places' }, member.places.filter((place) => only === null || place.index === only).map((place) => row(bench, member, place, handled, acts)));
}

/** @param {Holder} bench @param {Member} member @param {Place} place @param {number|null} handled @param {PlaceActs} acts */
function row(bench, member, place, handled, acts) {
  const { scene } = bench.now;
  const title = placeTitle(member, place);
  return el('li', { class: 'cage-place', 'data-place': place.index },
    el('button', {
      type: 'button', class: 'cage-place-pick', 'aria-pressed': String(handled === place.index), 'data-key': `pick ${place.index}`,
      title: 'Put the handle here in the picture', onclick: () => acts.onHandle(place.index),
    }, title),
    seatChoice(bench, member, place, acts),
    el('span', { class: place.kind === 'member' ? 'cage-on-tube' : 'cage-three' }, place.kind === 'member' ? onTube(scene, member, place, acts) : threeNumbers(scene, member, place, acts)),
    bendTools(bench, member, place, acts),
  );
}

/** What it sits on. @param {Holder} bench @param {Member} member @param {Place} place @param {PlaceActs} acts */
function seatChoice(bench, member, place, acts) {
  const inside = place.index > 0 && place.index < member.places.length - 1;
  const asks = { label: `${placeTitle(member, place)} sits on`, key: `seat ${place.index}`, chosen: `${place.kind} ${place.on ?? place.foot ?? place.point ?? ''}` };
  const newFoot = place.kind === 'foot' ? undefined : () => acts.onNewFoot?.(place.index);
  return seatSelect(bench, { ...asks, not: member.name, inside, newFoot: inside || !acts.onNewFoot ? undefined : newFoot }, (seat) => acts.onSet(sitOf(bench.now.scene, member, place, seat, acts.oneSide)));
}

/**
 * What a place can sit on: three numbers, a tube, a foot (at an end) or a named point.
 * @param {Holder} bench
 * @param {{label: string, key: string, chosen: string, not?: string, inside?: boolean, first?: string, newFoot?: () => void}} asks
 * @param {(seat: string) => void} act
 */
export function seatSelect(bench, asks, act) {
  const { scene, choices } = bench.now;
  const made = el('select', { class: 'cage-seat', 'aria-label': asks.label, 'data-key': asks.key, onchange: () => made.value && (made.value === NEW_FOOT ? asks.newFoot?.() : act(made.value)) });
  if (asks.first) made.append(el('option', { value: '', text: asks.first }));
  made.append(el('option', { value: 'coordinates ', text: 'three numbers' }));
  group(made, 'On a tube', 'member', 'on', scene.members.filter((m) => m.name !== asks.not).map((m) => m.name));
  if (asks.newFoot) made.append(el('option', { value: NEW_FOOT, text: 'a new foot here …' }));
  if (!asks.inside) group(made, 'On a foot', 'foot', 'foot', scene.feet.map((f) => f.name));
  group(made, 'At a point', 'point', 'point', choices.names.points);
  made.value = asks.chosen;
  return made;
}

const NEW_FOOT = 'new foot';

/** @param {HTMLSelectElement} made @param {string} label @param {string} kind @param {string} word @param {string[]} names */
function group(made, label, kind, word, names) {
  if (!names.length) return;
  const box = el('optgroup', { label });
  box.append(...names.map((name) => el('option', { value: `${kind} ${name}`, text: `${word} ${sayName(name)}` })));
  made.append(box);
}

/**
 * The edit that lets a place sit on something else, as near as may be to where it is.
 * @param {Scene} scene @param {Member} member @param {Place} place
 * @param {string} seat `member main_hoop`, `foot hoop_left`, `point waist` or `coordinates `
 * @param {boolean} oneSide
 * @param {string} [measure]
 */
function sitOf(scene, member, place, seat, oneSide, measure) {
  return moveOf(member, place.index, { to: placeAt(scene, seat, place.at, measure) }, oneSide);
}

/** @param {Scene} scene @param {Member} member @param {Place} place @param {PlaceActs} acts */
function onTube(scene, member, place, acts) {
  const measure = place.measure ?? 'up';
  const how = choice(MEASURES.map(([value, words]) => [value, words]), measure, (value) => {
    acts.onSet(sitOf(scene, member, place, `member ${place.on}`, acts.oneSide, value));
  }, { class: 'cage-measure', 'aria-label': `${placeTitle(member, place)} measured`, 'data-key': `measure ${place.index}` });
  return [how, number(scene, member, place, measure, `${measure} on ${place.on}`, place.value ?? 0, acts)];
}

/** @param {Scene} scene @param {Member} member @param {Place} place @param {PlaceActs} acts */
function threeNumbers(scene, member, place, acts) {
  return AXES.map((axis, n) => el('label', { class: 'cage-axis' }, el('span', { text: axis }), number(scene, member, place, axis, axis, place.at[n], acts)));
}

/**
 * @param {Scene} scene @param {Member} member @param {Place} place @param {string} axis @param {string} words
 * @param {number} value @param {PlaceActs} acts
 */
function number(scene, member, place, axis, words, value, acts) {
  return numberField({
    label: `${placeTitle(member, place)}: ${words}`,
    key: `number ${place.index} ${axis}`,
    value,
    units: scene.units,
    bare: axis === 'part',
    onTry: (typed) => acts.onTry(moveOf(member, place.index, { [axis]: typed }, acts.oneSide)),
    onSet: (typed) => acts.onSet(moveOf(member, place.index, { [axis]: typed }, acts.oneSide)),
    onLeave: acts.onLeave,
    onFocus: () => acts.onHandle(place.index, axis),
  });
}

/**
 * Live numbers in the fields while a trial is shown.
 * @param {HTMLElement} holder
 * @param {Scene} scene
 * @param {Member} member as tried
 */
export function showLive(holder, scene, member) {
  for (const place of member.places) {
    for (const [axis, value] of shown(place)) {
      const made = /** @type {HTMLInputElement|null} */ (holder.querySelector(`[data-key='number ${place.index} ${axis}']`));
      if (made) show(made, value, scene.units, axis === 'part');
    }
  }
}

/** @param {Place} place @returns {[string, number][]} */
function shown(place) {
  if (place.kind === 'member') return [[place.measure ?? 'up', place.value ?? 0]];
  return AXES.map((axis, n) => [axis, place.at[n]]);
}
