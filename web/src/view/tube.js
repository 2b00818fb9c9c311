// Tubes swept from their centre lines, with the wall and the true cut at their ends.

import { along, cross, dot, length, squareTo, sub, times, unit } from './vec.js';

/** @typedef {import('../types').Vec3} Vec3 */
/** @typedef {{at: Vec3, travel: Vec3, u: Vec3, v: Vec3}} Ring */

/** Places round a tube. */
export const ROUND = 48;
const TURN = 2 * Math.PI;
const SLEEVE = 1.2; // how deep an open end can be looked into, outside diameters

/**
 * What is drawn of one tube.
 * @typedef {object} TubeMesh
 * @property {Float32Array} positions (n * 3) mm
 * @property {Float32Array} normals (n * 3) unit
 * @property {Uint32Array} index of every triangle; those of the outside come first
 * @property {number} outside how many of `index` are of the outside
 * @property {Float32Array} edges (m * 3) pairs of points: the lines of the cuts
 */

/**
 * The tube of a member.
 * @param {{axis: Vec3[], od: number, wall: number, ends?: import('../types').SceneEnd[]}} member
 * @returns {TubeMesh}
 */
export function sweep({ axis, od, wall, ends = [] }) {
  const start = ends.find((end) => end.which === 'start');
  const stop = ends.find((end) => end.which === 'end');
  const points = clearOfCuts(axis, start, stop);
  const rings = ringsAlong(points, start?.zero);
  const radius = od / 2;
  const bore = Math.max(radius - wall, radius * 0.2);
  const first = endRing(rings[0], start, radius, 1);
  const last = endRing(rings[rings.length - 1], stop, radius, -1);
  const made = builder();
  outside(made, rings, radius, first, last);
  const count = made.index.length;
  mouth(made, rings[0], start, radius, bore, 1);
  mouth(made, rings[rings.length - 1], stop, radius, bore, -1);
  return finished(made, count, [first, last]);
}

/**
 * The centre line's points without those that a cut reaches past, so that no ring lies outside the tube.
 * @param {Vec3[]} axis
 * @param {import('../types').SceneEnd | undefined} start
 * @param {import('../types').SceneEnd | undefined} stop
 */
function clearOfCuts(axis, start, stop) {
  const points = distinct(axis);
  const inner = points.slice(1, -1);
  while (start && inner.length && reached(inner[0], start)) inner.shift();
  while (stop && inner.length && reached(inner[inner.length - 1], stop)) inner.pop();
  return [points[0], ...inner, points[points.length - 1]];
}

/** @param {Vec3[]} axis */
function distinct(axis) {
  return axis.filter((point, i) => i === 0 || length(sub(point, axis[i - 1])) > 1e-6);
}

/** @param {Vec3} point @param {import('../types').SceneEnd} end */
function reached(point, end) {
  return dot(sub(point, end.origin), end.axis) < Math.max(...end.cut) + 1;
}

/**
 * Rings square to the centre line, carried along it without twist.
 * @param {Vec3[]} points
 * @param {Vec3 | undefined} zero where the first ring begins
 * @returns {Ring[]}
 */
function ringsAlong(points, zero) {
  const legs = points.slice(1).map((point, i) => unit(sub(point, points[i])));
  /** @type {Ring[]} */
  const rings = [];
  let u = squared(zero ?? squareTo(legs[0]), legs[0]);
  points.forEach((at, i) => {
    const before = legs[Math.max(i - 1, 0)];
    const travel = unit(alongBoth(before, legs[Math.min(i, legs.length - 1)]));
    u = squared(u, travel);
    rings.push({ at, travel, u, v: cross(travel, u) });
  });
  return rings;
}

/** @param {Vec3} a @param {Vec3} b */
const alongBoth = (a, b) => along(a, b, 1);

/** The part of `u` square to `travel`. @param {Vec3} u @param {Vec3} travel */
const squared = (u, travel) => {
  const left = along(u, travel, -dot(u, travel));
  return length(left) < 1e-6 ? squareTo(travel) : unit(left);
};

/** @param {Ring} ring @param {number} k @returns {Vec3} the direction out of the tube */
function outward(ring, k) {
  const turn = (TURN * k) / ROUND;
  return along(times(ring.u, Math.cos(turn)), ring.v, Math.sin(turn));
}

/**
 * The cut's edge at the tube's outside.
 * @param {Ring} ring
 * @param {import('../types').SceneEnd | undefined} end
 * @param {number} radius
 * @param {1 | -1} way into the tube, along the travel or against it
 * @param {number} [share] of the cut's depth: the bore is cut less deep than the outside
 * @returns {Vec3[]}
 */
function endRing(ring, end, radius, way, share = 1) {
  const mean = end ? end.cut.reduce((sum, one) => sum + one, 0) / end.cut.length : 0;
  return Array.from({ length: ROUND }, (_, k) => {
    const out = outward(ring, k);
    if (!end) return along(ring.at, out, radius);
    const deep = mean + (cutAt(end, out) - mean) * share;
    return along(along(end.origin, times(ring.travel, way), deep), out, radius);
  });
}

/**
 * The cut in the direction `out`, mm along the end's axis.
 * @param {import('../types').SceneEnd} end
 * @param {Vec3} out
 */
export function cutAt(end, out) {
  const turn = Math.atan2(dot(out, cross(end.axis, end.zero)), dot(out, end.zero));
  const at = (((turn / TURN) % 1) + 1) % 1 * end.cut.length;
  const low = Math.floor(at) % end.cut.length;
  const part = at - Math.floor(at);
  return end.cut[low] * (1 - part) + end.cut[(low + 1) % end.cut.length] * part;
}

/** @typedef {{positions: number[], normals: number[], index: number[]}} Builder */
/** @returns {Builder} */
const builder = () => ({ positions: [], normals: [], index: [] });

/** @param {Builder} made @param {Vec3[]} points @param {(k: number) => Vec3} normal @returns {number} first vertex */
function addRing(made, points, normal) {
  const first = made.positions.length / 3;
  points.forEach((point, k) => {
    made.positions.push(...point);
    made.normals.push(...normal(k));
  });
  return first;
}

/** Join two rings so that the surface faces along their normals. @param {Builder} made @param {number} a @param {number} b */
function join(made, a, b) {
  for (let k = 0; k < ROUND; k += 1) {
    const next = (k + 1) % ROUND;
    made.index.push(a + k, a + next, b + k, a + next, b + next, b + k);
  }
}

/** @param {Builder} made @param {Ring[]} rings @param {number} radius @param {Vec3[]} first @param {Vec3[]} last */
function outside(made, rings, radius, first, last) {
  let before = -1;
  rings.forEach((ring, i) => {
    const round = Array.from({ length: ROUND }, (_, k) => along(ring.at, outward(ring, k), radius));
    const points = i === 0 ? first : i === rings.length - 1 ? last : round;
    const here = addRing(made, points, (k) => outward(ring, k));
    if (before >= 0) join(made, before, here);
    before = here;
  });
}

/**
 * The wall at an open end and the first of the bore.
 * @param {Builder} made @param {Ring} ring @param {import('../types').SceneEnd | undefined} end
 * @param {number} radius @param {number} bore @param {1 | -1} way
 */
function mouth(made, ring, end, radius, bore, way) {
  const rim = endRing(ring, end, radius, way);
  const inner = endRing(ring, end, bore, way, bore / radius);
  const deep = inner.map((point) => along(point, ring.travel, way * radius * 2 * SLEEVE));
  const facing = times(ring.travel, -way);
  const inward = (/** @type {number} */ k) => times(outward(ring, k), -1);
  const rings = [
    [addRing(made, inner, () => facing), addRing(made, rim, () => facing)],
    [addRing(made, deep, inward), addRing(made, inner, inward)],
  ];
  for (const [a, b] of rings) join(made, ...(way > 0 ? /** @type {[number, number]} */ ([a, b]) : /** @type {[number, number]} */ ([b, a])));
}

/** @param {Builder} made @param {number} outside @param {Vec3[][]} loops @returns {TubeMesh} */
function finished(made, outside, loops) {
  const edges = loops.flatMap((loop) => loop.flatMap((point, k) => [...point, ...loop[(k + 1) % ROUND]]));
  return {
    positions: new Float32Array(made.positions),
    normals: new Float32Array(made.normals),
    index: new Uint32Array(made.index),
    outside,
    edges: new Float32Array(edges),
  };
}
