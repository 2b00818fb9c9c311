/** Where a dragged place comes to rest by itself: level with joints, in the middle, evenly spaced, in line with a bar beyond. */

import { lengthOf, middle, minus, nearest, pointAt, size } from './reach.js';
import { sayName } from './words.js';

/** @typedef {import('./types.js').Point} Point */
/** @typedef {import('./types.js').Scene} Scene */
/** @typedef {import('./types.js').Member} Member */
/** @typedef {import('./types.js').Place} Place */
/** @typedef {{point: Point, words: string}} Snap */

/** How near a place must come to rest there, mm. */
export const REST = 12;

/**
 * The spots along what a place sits on, the most telling first.
 * @param {Scene} scene @param {Member} member @param {Place} place
 * @param {number} way of what sits on no tube: 0 back, 1 across, 2 up
 * @returns {Snap[]}
 */
export function snapsOf(scene, member, place, way) {
  const host = scene.members.find((m) => m.name === place.on);
  return host ? onTube(scene, member, place, host) : inSpace(scene, member, place, way);
}

/** @param {Scene} scene @param {Member} member @param {Place} place @param {Member} host @returns {Snap[]} */
function onTube(scene, member, place, host) {
  const at = (/** @type {Point} */ p) => nearest(host.axis, p);
  const joints = scene.members.filter((m) => m.name !== member.name)
    .flatMap((m) => m.places.filter((p) => p.on === host.name).map((p) => ({ along: at(p.at).along, name: m.name })))
    .sort((a, b) => a.along - b.along);
  const mine = at(place.at).along;
  const total = lengthOf(host.axis);
  const below = joints.filter((j) => j.along < mine - 1).pop()?.along ?? 0;
  const above = joints.find((j) => j.along > mine + 1)?.along ?? total;
  const spot = (/** @type {number} */ along, /** @type {string} */ words) => ({ point: pointAt(host.axis, along), words });
  return [
    ...beyond(scene, member, place, host),
    ...joints.map((j) => spot(j.along, `at the joint of ${sayName(j.name)}`)),
    spot((below + above) / 2, 'spaced evenly between its neighbours'),
    { point: middle(host.axis), words: `in the middle of ${sayName(host.name)}` },
  ];
}

/** Where a bar that lands on the host from the other side would go on straight through. @param {Scene} scene @param {Member} member @param {Place} place @param {Member} host @returns {Snap[]} */
function beyond(scene, member, place, host) {
  const other = member.places[place.index === 0 ? 1 : place.index - 1]?.at;
  if (!other) return [];
  return scene.members.filter((m) => m.name !== member.name).flatMap((m) => {
    const ends = [m.places[0], m.places[m.places.length - 1]];
    const end = ends.findIndex((p) => p.on === host.name);
    if (end < 0) return [];
    const line = end === 0 ? m.axis : [...m.axis].reverse();
    const out = minus(line[0], line[1]);
    const far = size(out) || 1;
    const gap = minus(other, line[0]);
    const run = (gap[0] * out[0] + gap[1] * out[1] + gap[2] * out[2]) / far;
    if (run <= 0) return [];
    const off = size(/** @type {Point} */ (gap.map((v, n) => v - (out[n] / far) * run)));
    return off < run * 0.35 ? [{ point: line[0], words: `in line with ${sayName(m.name)} beyond` }] : [];
  });
}

/** A place of its own: level with the places of other tubes. @param {Scene} scene @param {Member} member @param {Place} place @param {number} way @returns {Snap[]} */
function inSpace(scene, member, place, way) {
  return scene.members.filter((m) => m.name !== member.name).flatMap((m) => m.places.map((p) => ({
    point: /** @type {Point} */ (place.at.map((v, k) => (k === way ? p.at[way] : v))), words: `level with ${sayName(m.name)}`,
  })));
}

/** The snap that a point has come near to, or null. @param {Snap[]} snaps @param {Point} point @returns {Snap|null} */
export const restAt = (snaps, point) => snaps.find((one) => size(minus(one.point, point)) <= REST) ?? null;
