/** The places of a tube as fields: what each sits on, and its numbers. */

import { fieldLength } from '../numbers.js';
import { choice, el } from './dom.js';
import { numberField, show } from './number_field.js';
import { AXES, MEASURES, placeTitle } from './words.js';

/** @typedef {import('./types.js').Scene} Scene */
/** @typedef {import('./types.js').Member} Member */
/** @typedef {import('./types.js').Place} Place */
/** @typedef {import('./types.js').Point} Point */
/** @typedef {number|string} Typed */

/**
 * @typedef {object} PlaceActs
 * @property {(edit: Record<string, any>) => void} onTry
 * @property {(edit: Record<string, any>) => void} onSet
 * @property {() => void} onLeave
 * @property {(index: number) => void} onHandle the builder turns to this place
 * @property {boolean} oneSide
 */

/**
 * What an edit of one number of a place is: of the place itself, or of the foot or point that it stands on.
 * @param {Member} member
 * @param {Place} place
 * @param {Record<string, any>} where
 * @param {boolean} oneSide
 */
export function moveOf(member, place, where, oneSide) {
  const side = oneSide ? { one_side: true } : {};
  if (place.kind === 'foot' && where.at) return { do: 'move-foot', foot: place.foot, ...where, ...side };
  if (place.kind === 'point' && where.at) return { do: 'move-point', point: place.point, ...where, ...side };
  return { do: 'move', member: member.name, place: place.index, ...where, ...side };
}

/**
 * @param {Scene} scene
 * @param {Member} member
 * @param {number|null} handled index of the place that has the handle in the picture
 * @param {PlaceActs} acts
 */
export function placeRows(scene, member, handled, acts) {
  return el('ol', { class: 'cage-places' }, member.places.map((place) => row(scene, member, place, handled, acts)));
}

/** @param {Scene} scene @param {Member} member @param {Place} place @param {number|null} handled @param {PlaceActs} acts */
function row(scene, member, place, handled, acts) {
  const title = placeTitle(member, place);
  return el('li', { class: 'cage-place', 'data-place': place.index },
    el('button', {
      type: 'button', class: 'cage-place-pick', 'aria-pressed': String(handled === place.index), 'data-key': `pick ${place.index}`,
      title: 'Put the handle here in the picture', onclick: () => acts.onHandle(place.index),
    }, title),
    seatChoice(scene, member, place, acts),
    el('span', { class: 'cage-numbers' }, place.kind === 'member' ? onTube(scene, member, place, acts) : threeNumbers(scene, member, place, acts)),
  );
}

/** What it sits on. @param {Scene} scene @param {Member} member @param {Place} place @param {PlaceActs} acts */
function seatChoice(scene, member, place, acts) {
  const made = el('select', { class: 'cage-seat', 'aria-label': `${placeTitle(member, place)} sits on`, 'data-key': `seat ${place.index}` });
  const end = place.index === 0 || place.index === member.places.length - 1;
  made.append(el('option', { value: 'coordinates ', text: 'three numbers' }));
  group(made, 'On a tube', 'member', scene.members.filter((m) => m.name !== member.name).map((m) => m.name));
  if (end) group(made, 'On a foot', 'foot', scene.feet.map((f) => f.name));
  group(made, 'At a point', 'point', Object.keys(scene.points ?? named(scene)));
  made.value = `${place.kind} ${place.on ?? place.foot ?? place.point ?? ''}`;
  made.addEventListener('change', () => {
    const [kind, name] = made.value.split(' ');
    acts.onSet(seatEdit(member, place, kind, name, acts.oneSide));
  });
  return made;
}

/** @param {HTMLSelectElement} made @param {string} label @param {string} kind @param {string[]} names */
function group(made, label, kind, names) {
  if (!names.length) return;
  const box = el('optgroup', { label });
  box.append(...names.map((name) => el('option', { value: `${kind} ${name}`, text: name })));
  made.append(box);
}

/** Points that some place stands on, where the scene lists none. @param {Scene} scene @returns {Record<string, Point>} */
function named(scene) {
  const places = scene.members.flatMap((m) => m.places);
  return Object.fromEntries(places.flatMap((p) => (p.point ? [[p.point, p.at]] : [])));
}

/** @param {Member} member @param {Place} place @param {string} kind @param {string} name @param {boolean} oneSide */
function seatEdit(member, place, kind, name, oneSide) {
  const side = oneSide ? { one_side: true } : {};
  const base = { do: 'move', member: member.name, place: place.index, ...side };
  if (kind === 'member') return { ...base, on: name, at: place.at };
  if (kind === 'foot') return { ...base, foot: name };
  return kind === 'point' ? { ...base, point: name } : { ...base, free: true };
}

/** @param {Scene} scene @param {Member} member @param {Place} place @param {PlaceActs} acts */
function onTube(scene, member, place, acts) {
  const measure = place.measure ?? 'up';
  const how = choice(MEASURES.map(([value, words]) => [value, words]), measure, (value) => {
    acts.onSet({ do: 'move', member: member.name, place: place.index, measure: value, at: place.at, ...(acts.oneSide ? { one_side: true } : {}) });
  }, { class: 'cage-measure', 'aria-label': `${placeTitle(member, place)} measured`, 'data-key': `measure ${place.index}` });
  return [how, number(scene, member, place, measure, `${measure} on ${place.on}`, place.value ?? 0, (value) => ({ [measure]: value }), acts)];
}

/** @param {Scene} scene @param {Member} member @param {Place} place @param {PlaceActs} acts */
function threeNumbers(scene, member, place, acts) {
  return AXES.map((axis, n) => el('label', { class: 'cage-axis' }, el('span', { text: axis }),
    number(scene, member, place, axis, axis, place.at[n], (value) => ({ at: withOne(scene, place.at, n, value) }), acts)));
}

/**
 * Three numbers with one of them as it was typed.
 * @param {Scene} scene @param {Point} at @param {number} n @param {Typed} value
 * @returns {Typed[]}
 */
export function withOne(scene, at, n, value) {
  return at.map((mm, m) => (m === n ? value : fieldLength(mm, scene.units))).map((text) => (scene.units === 'mm' && typeof text === 'string' && /^-?[\d.]+$/.test(text) ? Number(text) : text));
}

/**
 * @param {Scene} scene @param {Member} member @param {Place} place @param {string} axis @param {string} words
 * @param {number} value @param {(value: Typed) => Record<string, any>} where @param {PlaceActs} acts
 */
function number(scene, member, place, axis, words, value, where, acts) {
  return numberField({
    label: `${placeTitle(member, place)}: ${words}`,
    key: `number ${place.index} ${axis}`,
    value,
    units: scene.units,
    bare: axis === 'part',
    onTry: (typed) => acts.onTry(moveOf(member, place, where(typed), acts.oneSide)),
    onSet: (typed) => acts.onSet(moveOf(member, place, where(typed), acts.oneSide)),
    onLeave: acts.onLeave,
    onFocus: () => acts.onHandle(place.index),
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
