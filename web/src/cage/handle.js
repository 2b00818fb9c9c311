/** The handle in the picture: drags the chosen place along what it sits on, with live numbers; letting go is one edit. */

import { shortLength } from '../numbers.js';
import { moveOf } from './place_rows.js';
import { restAt, snapsOf } from './snaps.js';
import { AXES, placeTitle, sayName, tapeLength } from './words.js';

/** @typedef {import('./types.js').Point} Point */
/** @typedef {import('./types.js').Scene} Scene */
/** @typedef {import('./types.js').Place} Place */
/** @typedef {import('./types.js').Member} Member */
/** @typedef {import('./bench.js').Holder} Holder */

/** A key on the handle so soon after the last belongs to the same stroke. */
const STROKE_MS = 1500;

/**
 * @typedef {object} Held what the handle moves
 * @property {Point} point
 * @property {'up'|'back'|'across'|Point[]} along
 * @property {string} words
 * @property {string} measure what changes: `up`, ...
 * @property {(point: Point) => Record<string, any>} edit
 * @property {import('./snaps.js').Snap[]} [snaps] where it comes to rest by itself
 */

/**
 * What the handle is put on for what is chosen; null for none.
 * @param {Holder} bench
 * @param {'up'|'back'|'across'} way of a place that sits on no tube
 * @returns {Held|null}
 */
export function heldOf(bench, way) {
  const { scene, chosen } = bench.now;
  const joint = scene.joints.find((j) => j.name === chosen.joints[0]);
  const foot = scene.feet.find((f) => f.name === chosen.feet[0]);
  const member = bench.only() ?? (joint ? bench.member(joint.branch) : null);
  if (member) {
    const index = joint ? (joint.which === 'start' ? 0 : member.places.length - 1) : chosen.place;
    const place = index === null ? null : member.places[index];
    return place ? heldPlace(scene, member, place, way) : null;
  }
  if (!foot) return null;
  const edit = (/** @type {Point} */ p) => ({ move: { foot: foot.name, [way]: onTape(scene, p, way), host: true } });
  return { point: foot.point, along: way, words: `foot ${sayName(foot.name)}`, measure: way, edit };
}

/** @param {Scene} scene @param {Member} member @param {Place} place @param {'up'|'back'|'across'} way @returns {Held} */
function heldPlace(scene, member, place, way) {
  const words = `${sayName(member.name)}, ${placeTitle(member, place).toLowerCase()}`;
  const main = place.kind === 'member' ? scene.members.find((m) => m.name === place.on) : null;
  const measure = main ? (place.measure ?? 'up') : way;
  const straight = AXES.includes(/** @type {any} */ (measure));
  return {
    point: place.at, along: main ? main.axis : way, words, snaps: snapsOf(scene, member, place, AXES.indexOf(way)), measure: straight ? measure : 'up',
    edit: (p) => moveOf(member, place.index, straight ? { [measure]: onTape(scene, p, measure) } : { at: p.map((mm) => tapeLength(mm, scene.units)) }),
  };
}

/** @param {Scene} scene @param {Point} point @param {string} measure */
const onTape = (scene, point, measure) => tapeLength(point[AXES.indexOf(/** @type {any} */ (measure))], scene.units);

/**
 * The live words while dragging: where it is now, and how far it has come.
 * @param {Held} held
 * @param {Point} point
 * @param {import('./types.js').Units} units
 */
export function liveWords(held, point, units) {
  const n = AXES.indexOf(/** @type {any} */ (held.measure));
  const moved = point[n] - held.point[n];
  const rest = restAt(held.snaps ?? [], point);
  return `${held.words}: ${held.measure} ${shortLength(point[n], units)} (${moved < 0 ? '−' : '+'}${shortLength(Math.abs(moved), units)})${rest ? `, ${rest.words}` : ''}`;
}

/**
 * @param {Holder} bench
 * @param {{handle: (held: any, does?: any) => void}} view
 * @param {import('./chosen.js').Does} does
 * @param {HTMLElement} readout
 */
export function dragHandle(bench, view, does, readout) {
  let way = /** @type {'up'|'back'|'across'} */ ('up');
  let stroke = { name: '', of: '', at: 0 };
  /** Key after key on one handle is one stroke, that one undo takes back. @param {string} of */
  const strokeOf = (of) => {
    const now = Date.now();
    const name = stroke.of === of && now - stroke.at < STROKE_MS ? stroke.name : `${of} ${now}`.slice(-80);
    stroke = { name, of, at: now };
    return name;
  };
  let setting = 0;
  const put = () => {
    if (setting) return; // the handle is ahead of what is saved: a key pressed meanwhile goes on from there
    const held = bench.now.doing === 'look' ? heldOf(bench, way) : null;
    readout.hidden = true;
    if (!held) return view.handle(null);
    view.handle({ point: held.point, along: held.along, words: `${held.words}: drag it ${typeof held.along === 'string' ? held.along : 'along its tube'}`, step: bench.now.scene.units === 'mm' ? 1 : 25.4 / 16, snap: (/** @type {Point} */ point) => restAt(held.snaps ?? [], point)?.point ?? point }, {
      onDrag: (/** @type {Point} */ point) => {
        readout.hidden = false;
        readout.dataset.tone = '';
        readout.textContent = liveWords(held, point, bench.now.scene.units);
        does.attempt(held.edit(point));
      },
      onCancel: does.leave,
      onDrop: (/** @type {Point} */ point) => {
        readout.hidden = true;
        setting += 1;
        void does.edit({ ...held.edit(point), stroke: strokeOf(held.words) }).finally(() => {
          setting -= 1;
          put();
        });
      },
    });
  };
  bench.on(['chosen', 'scene', 'doing'], put);
  return {
    /** Drag the other way, where the place sits on no tube. @param {'up'|'back'|'across'} next */
    turn(next) {
      if (next === way) return;
      way = next;
      put();
    },
    way: () => way,
    /** A place that it cannot be dragged to. @param {string} words */
    refused(words) {
      if (readout.hidden) return;
      readout.dataset.tone = 'wrong';
      readout.textContent = words;
    },
  };
}
