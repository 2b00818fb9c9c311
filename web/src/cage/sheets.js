/** The panels of what is cut from sheet: a foot with its plate, a plate, a gusset. */

import { sayLength } from '../numbers.js';
import { GUSSET_KINDS, SEATS } from '../vocabulary.js';
import { button, choice, el, field } from './dom.js';
import { numberField } from './number_field.js';
import { minus } from './reach.js';
import { AXES, planLength, sayName } from './words.js';

/** @typedef {import('./bench.js').Holder} Holder */
/** @typedef {import('./chosen.js').Does} Does */
/** @typedef {import('./types.js').Foot} Foot */

/** @param {Holder} bench @param {Does} does @param {string} kind @param {string} name */
const editsOf = (bench, does, kind, name) => ({
  /** A length as a field. @param {string} label @param {string} key @param {number} value @param {(typed: number|string) => Record<string, any>} what */
  length: (label, key, value, what) => numberField({
    label: `${sayName(name)}: ${label}`, key, value, units: bench.now.scene.units, onLeave: does.leave,
    onTry: (typed) => does.attempt({ [kind]: { name, ...what(typed) } }), onSet: (typed) => void does.edit({ [kind]: { name, ...what(typed) } }),
  }),
  /** @param {Record<string, any>} what */
  set: (what) => void does.edit({ [kind]: { name, ...what } }),
});

/** What the foot stands on, its plate, and which way that lies. @param {Holder} bench @param {Foot} found @param {Does} does */
export function footFields(bench, found, does) {
  const { units, members } = bench.now.scene;
  const put = editsOf(bench, does, 'foot', found.name);
  const sizes = found.plate.map((mm) => planLength(mm, units));
  const plate = (/** @type {number} */ n) => (/** @type {number|string} */ typed) => ({ plate: sizes.map((old, m) => (m === n ? typed : old)) });
  const stands = members.flatMap((m) => [m.places[0], m.places[m.places.length - 1]].filter((p) => p.foot === found.name).map((p) => ({ m, first: p.index === 0 })))[0];
  return el('div', { class: 'cage-what' },
    field('Stands on', choice(SEATS.map((s) => [s, s]), found.seat, (on) => put.set({ on }), { 'data-key': 'seat of foot' })),
    field('Plate, back', put.length('plate, back', 'plate 0', found.plate[0], plate(0))),
    field('Plate, across', put.length('plate, across', 'plate 1', found.plate[1], plate(1))),
    field('Plate, thickness', put.length('plate, thickness', 'plate 2', found.plate[2], plate(2))),
    plateShape(bench, found, does),
    stands ? button('Turn the plate square to its tube', () => put.set({ normal: wayUp(stands.m.axis, stands.first) }), { 'data-key': 'square' }) : null);
}

/** How the plate is made: flat, on walls, or with an edge folded. @type {[string, string][]} */
const SHAPES = [['', 'made another way …'], ['flat', 'flat'], ['box', 'boxed, on walls'], ...['inside', 'outside', 'front', 'rear'].flatMap((edge) => /** @type {[string, string][]} */ ([[`over ${edge}`, `${edge} edge folded over`], [`up ${edge}`, `${edge} edge up a wall`]]))];
/** Walls and folds to start from, mm (common practice, no source). */
const FOLD = 40;

/** @param {Holder} bench @param {Foot} found @param {Does} does */
function plateShape(bench, found, does) {
  const { units } = bench.now.scene;
  let shape = '';
  let far = /** @type {number|string} */ (planLength(units === 'mm' ? FOLD : 38.1, units));
  const asked = () => {
    const [turn, edge] = shape.split(' ');
    const how = shape === 'flat' ? { folds: [] } : shape === 'box' ? { box: { high: far } } : { folds: [{ edge, by: far, turn }] };
    return { foot: { name: found.name, ...how } };
  };
  const set = button('Make it so', () => shape && void does.edit(asked()), { 'data-key': 'shape set', disabled: true });
  const tried = () => { set.disabled = !shape; if (shape) does.attempt(asked()); else does.leave(); };
  return el('details', { class: 'cage-size' }, el('summary', { text: 'Folded or boxed' }), el('div', { class: 'cage-what' },
    field('The plate is', choice(SHAPES, '', (next) => { shape = next; tried(); }, { 'data-key': 'shape' })),
    field('How far, or how high', numberField({ label: 'How far the edge runs on, or how high the walls are', key: 'shape far', value: units === 'mm' ? FOLD : 38.1, units, onTry: (typed) => { far = typed; tried(); }, onSet: (typed) => { far = typed; tried(); } })), set));
}

/** The way out of the shell along a tube that stands on it. @param {import('./types.js').Point[]} axis @param {boolean} first */
function wayUp(axis, first) {
  const line = first ? axis : [...axis].reverse();
  return minus(line[1], line[0]).map((v) => Number((v / 100).toFixed(2)));
}

/** @param {Holder} bench @param {string} name @param {Does} does @param {() => void} corners picks its corners anew */
export function platePanel(bench, name, does, corners) {
  const found = bench.now.scene.plates.find((p) => p.name === name);
  if (!found) return [];
  const put = editsOf(bench, does, 'plate', name);
  return [
    el('header', { class: 'cage-chosen-head' }, el('h2', { text: sayName(name) }), el('p', { text: `plate with ${found.corners.length} corners` })),
    el('div', { class: 'cage-what' }, field('Thickness', put.length('thickness', 'thickness', found.thickness, (thickness) => ({ thickness })))),
    el('div', { class: 'cage-actions' }, button('Pick its corners anew', corners, { 'data-key': 'corners' }), button('Remove …', () => does.remove([name]), { class: 'cage-danger', 'data-key': 'remove' })),
  ];
}

/** @param {Holder} bench @param {string} name @param {Does} does */
export function gussetPanel(bench, name, does) {
  const found = bench.now.scene.gussets.find((g) => g.name === name);
  if (!found) return [];
  const own = name.replace(/_mirror$/, '');
  const put = editsOf(bench, does, 'gusset', bench.now.scene.gussets.some((g) => g.name === own) ? own : name);
  return [
    el('header', { class: 'cage-chosen-head' }, el('h2', { text: sayName(name) }), el('p', { text: `gusset between ${found.between.map(sayName).join(' and ')}` })),
    el('div', { class: 'cage-what' },
      field('Leg', put.length('leg', 'leg', found.leg, (leg) => ({ leg }))),
      field('Thickness', put.length('thickness', 'thickness', found.thickness, (thickness) => ({ thickness }))),
      field('Lightening hole', put.length('hole', 'hole', 0, (hole) => ({ hole }))),
      field('The hole’s edge', choice([['', 'as it is'], ['no', 'plain'], ['yes', 'dimpled']], '', (dimpled) => dimpled && put.set({ dimpled: dimpled === 'yes' }), { 'data-key': 'dimpled' })),
      field('Made', choice(GUSSET_KINDS.map((k) => [k, k]), found.kind, (kind) => put.set({ kind }), { 'data-key': 'kind' }))),
    el('p', { class: 'quiet', text: `Its corner is at ${AXES.map((axis, n) => `${axis} ${sayLength(found.point[n], bench.now.scene.units)}`).join(', ')}.` }),
    el('div', { class: 'cage-actions' }, found.between.map((m) => button(sayName(m), () => bench.choose({ members: [m] }))),
      button('Remove …', () => does.remove([own]), { class: 'cage-danger', 'data-key': 'remove' })),
  ];
}
