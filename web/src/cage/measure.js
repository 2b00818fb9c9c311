/** Distance between two picks: straight, back, across and up, axis to axis and skin to skin. */

import { sayLength, shortLength } from '../numbers.js';
import { button, el } from './dom.js';
import { redraw } from './panel.js';
import { leastGap, minus, nearest, size } from './reach.js';
import { sayName } from './words.js';

/** @typedef {import('./types.js').Point} Point */
/** @typedef {import('./types.js').Scene} Scene */
/** @typedef {import('./types.js').Member} Member */
/** @typedef {import('./bench.js').Holder} Holder */

/** Less and more of back, across and up, as one says it. */
const WAYS = [['forward', 'back'], ['to the left', 'to the right'], ['down', 'up']];

/** @typedef {{words: string, point: Point|null, member: Member|null}} Picked a tube, or a point of the car */

/**
 * @typedef {object} Measured lengths in mm
 * @property {number|null} straight between the places picked
 * @property {Point|null} parts back, across, up
 * @property {number|null} axes least from centre line to centre line
 * @property {number|null} skins least from skin to skin; below nought where they cut into one another
 * @property {Point} a
 * @property {Point} b
 */

/**
 * How far apart two picks are. Without places (chosen from a list) two tubes have only their least distances.
 * @param {Picked} one
 * @param {Picked} two
 * @returns {Measured}
 */
export function measured(one, two) {
  const [p, q] = [one, two].map((pick) => pick.point);
  const straight = p && q ? size(minus(q, p)) : null;
  const parts = p && q ? minus(q, p) : null;
  const least = leastGap(one.member ? one.member.axis : dot(p), two.member ? two.member.axis : dot(q));
  const both = Boolean(one.member || two.member);
  const radii = (one.member?.od ?? 0) / 2 + (two.member?.od ?? 0) / 2;
  return { straight, parts, axes: both ? least.gap : null, skins: both ? least.gap - radii : null, a: p && q ? p : least.a, b: p && q ? q : least.b };
}

/** A point as a centre line of no length. @param {Point|null} point @returns {Point[]} */
const dot = (point) => {
  const at = point ?? [0, 0, 0];
  return [at, [at[0], at[1], at[2] + 1e-6]];
};

/**
 * @param {HTMLElement} holder
 * @param {Holder} bench
 * @param {{distance: (shown: null|{a: Point, b: Point, words: string}) => void}} view
 */
export function measure(holder, bench, view) {
  let picks = /** @type {Picked[]} */ ([]);

  const stop = () => {
    picks = [];
    view.distance(null);
    bench.set({ doing: 'look' }, 'doing', 'chosen');
  };
  /** @param {Picked} pick */
  const take = (pick) => {
    picks = picks.length > 1 ? [pick] : [...picks, pick];
    draw();
  };
  const draw = () => {
    if (bench.now.doing !== 'measure') return view.distance(null);
    const { scene } = bench.now;
    const found = picks.length === 2 ? measured(picks[0], picks[1]) : null;
    view.distance(found && { a: found.a, b: found.b, words: shortLength(found.straight ?? found.skins ?? 0, scene.units) });
    redraw(holder, el('header', { class: 'cage-chosen-head' }, el('h2', { text: 'Distance' })),
      el('div', { class: 'cage-pair' }, list(scene, 'From', picks[0], (pick) => { picks = [pick, ...picks.slice(1)]; draw(); }), list(scene, 'To', picks[1], (pick) => { picks = [...picks.slice(0, 1), pick]; draw(); })),
      found ? table(found, scene) : el('p', { class: 'quiet', role: 'status', text: picks.length ? 'Pick the second place.' : 'Pick two places in the picture, or choose them here.' }),
      el('div', { class: 'cage-actions' }, button('Again', () => { picks = []; draw(); }, { 'data-key': 'again' }), button('Done', stop, { class: 'main', 'data-key': 'done' })));
  };
  bench.on(['doing', 'scene'], () => {
    picks = picks.map((pick) => ({ ...pick, member: pick.member && bench.member(pick.member.name) }));
    draw();
  });
  draw();
  return {
    start: () => bench.set({ doing: 'measure' }, 'doing'),
    stop,
    /** @param {{member?: string, joint?: string, point: Point}} pick */
    pick: (pick) => take(pickedAt(bench.now.scene, pick)),
  };
}

/**
 * A pick in the picture as a place on an axis where it met a tube.
 * @param {Scene} scene
 * @param {{member?: string, joint?: string, point: Point}} pick
 * @returns {Picked}
 */
function pickedAt(scene, pick) {
  const joint = scene.joints.find((j) => j.name === pick.joint);
  if (joint) return { words: joint.name, point: joint.point, member: null };
  const member = scene.members.find((m) => m.name === pick.member) ?? null;
  return { words: member?.name ?? 'a place', point: member ? nearest(member.axis, pick.point).point : pick.point, member };
}

/** @param {Scene} scene @param {string} label @param {Picked|undefined} now @param {(pick: Picked) => void} act */
function list(scene, label, now, act) {
  const made = el('select', { onchange: () => made.value && act(chosen(scene, made.value)), 'aria-label': label, 'data-key': label });
  made.append(el('option', { value: '', text: now ? sayName(now.words) : `${label} …` }));
  for (const [words, kind, names] of /** @type {[string, string, string[]][]} */ ([['Tubes', 'tube', scene.members.map((m) => m.name)], ['Joints', 'joint', scene.joints.map((j) => j.name)], ['Feet', 'foot', scene.feet.map((f) => f.name)]])) {
    const box = el('optgroup', { label: words });
    box.append(...names.map((name) => el('option', { value: `${kind} ${name}`, text: sayName(name) })));
    if (names.length) made.append(box);
  }
  return made;
}

/** @param {Scene} scene @param {string} value @returns {Picked} */
function chosen(scene, value) {
  const [kind, name] = value.split(' ');
  const member = kind === 'tube' ? (scene.members.find((m) => m.name === name) ?? null) : null;
  const spot = (kind === 'joint' ? scene.joints : scene.feet).find((one) => one.name === name);
  return { words: name, point: member ? null : (spot?.point ?? null), member };
}

/** @param {Measured} found @param {Scene} scene */
function table(found, scene) {
  const rows = /** @type {[string, number|null][]} */ ([['Straight', found.straight], ...(found.parts ?? []).map((mm, n) => /** @type {[string, number|null]} */ ([WAYS[n][mm < 0 ? 0 : 1], Math.abs(mm)])), ['Least, axis to axis', found.axes], ['Least, skin to skin', found.skins]]);
  return el('dl', { class: 'cage-facts', role: 'status' }, rows.filter(([, mm]) => mm !== null).map(([words, mm]) => el('div', {}, el('dt', { text: words }), el('dd', { text: sayLength(mm ?? 0, scene.units) }))));
}
