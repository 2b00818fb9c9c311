/** Where a pick lies on a tube, how to say so as a place of the plan, and how far apart two tubes are. */

import { AXES, tapeLength } from './words.js';

/** @typedef {import('./types.js').Point} Point */
/** @typedef {import('./types.js').Member} Member */
/** @typedef {import('./types.js').Scene} Scene */
/** @typedef {import('./types.js').Units} Units */

/** @typedef {{point: Point, along: number, tangent: Point, gap: number}} Nearest */


/** @param {Point} a @param {Point} b @returns {Point} */
export const minus = (a, b) => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
/** @param {Point} a @param {Point} b */
const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
/** @param {Point} a */
export const size = (a) => Math.hypot(a[0], a[1], a[2]);
/** @param {Point} a @param {Point} b @param {number} t @returns {Point} */
export const between = (a, b, t) => [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t, a[2] + (b[2] - a[2]) * t];
/** @param {number} v @param {number} low @param {number} high */
const clamp = (v, low, high) => Math.min(high, Math.max(low, v));

/**
 * The nearest place of a centre line to a point; `along` in mm from its first end, `gap` in mm.
 * @param {Point[]} axis
 * @param {Point} point
 * @returns {Nearest}
 */
export function nearest(axis, point) {
  let best = /** @type {Nearest|null} */ (null);
  let run = 0;
  for (let n = 0; n + 1 < axis.length; n += 1) {
    const way = minus(axis[n + 1], axis[n]);
    const length = size(way) || 1e-9;
    const t = clamp(dot(minus(point, axis[n]), way) / length ** 2, 0, 1);
    const at = between(axis[n], axis[n + 1], t);
    const gap = size(minus(point, at));
    if (!best || gap < best.gap) best = { point: at, along: run + t * length, tangent: /** @type {Point} */ (way.map((w) => w / length)), gap };
    run += length;
  }
  if (!best) throw new Error('a centre line has two points at least');
  return best;
}

/**
 * The least distance between two centre lines, and where, by segments.
 * @param {Point[]} one
 * @param {Point[]} two
 * @returns {{a: Point, b: Point, gap: number}}
 */
export function leastGap(one, two) {
  let best = { a: one[0], b: two[0], gap: Infinity };
  for (let i = 0; i + 1 < one.length; i += 1) {
    for (let j = 0; j + 1 < two.length; j += 1) {
      const found = segments(one[i], one[i + 1], two[j], two[j + 1]);
      if (found.gap < best.gap) best = found;
    }
  }
  return best;
}

/**
 * Closest points of two segments (Ericson, Real-Time Collision Detection, 2005, section 5.1.9).
 * @param {Point} p @param {Point} p2 @param {Point} q @param {Point} q2
 */
function segments(p, p2, q, q2) {
  const u = minus(p2, p);
  const v = minus(q2, q);
  const w = minus(p, q);
  const a = dot(u, u) || 1e-12;
  const e = dot(v, v) || 1e-12;
  const b = dot(u, v);
  const c = dot(u, w);
  const f = dot(v, w);
  const d = a * e - b * b;
  let s = d > 1e-9 * a * e ? clamp((b * f - c * e) / d, 0, 1) : 0;
  const t = clamp((b * s + f) / e, 0, 1);
  s = clamp((b * t - c) / a, 0, 1);
  const at = between(p, p2, s);
  const bt = between(q, q2, t);
  return { a: at, b: bt, gap: size(minus(at, bt)) };
}

/**
 * How often a centre line passes a coordinate.
 * @param {Point[]} axis
 * @param {number} n 0 back, 1 across, 2 up
 * @param {number} value
 * @returns {Point[]} where
 */
export function passes(axis, n, value) {
  const found = /** @type {Point[]} */ ([]);
  for (let i = 0; i + 1 < axis.length; i += 1) {
    const [from, to] = [axis[i][n] - value, axis[i + 1][n] - value];
    if (from === to || from * to > 0 || (to === 0 && i + 2 < axis.length)) continue;
    found.push(between(axis[i], axis[i + 1], from / (from - to)));
  }
  return found;
}

/** @typedef {'up'|'back'|'across'|'along'|'part'} Measure */
/** @typedef {Record<string, any>} PlanPlace a place as a plan writes it */

/**
 * A place of the plan on a tube near a point, measured the way the tube runs there (or as wanted), at the nearest mark
 * of the tape, with its side where several fit.
 * @param {Member} member
 * @param {Point} point
 * @param {Units} units
 * @param {string} [wanted] measure
 * @returns {PlanPlace}
 */
export function placeOn(member, point, units, wanted) {
  const found = nearest(member.axis, point);
  const measure = wanted ?? wayOf(found.tangent);
  if (measure === 'along') return { on: member.name, along: tapeLength(found.along, units) };
  if (measure === 'part') return { on: member.name, part: Number((found.along / lengthOf(member.axis)).toFixed(4)) };
  const n = AXES.indexOf(/** @type {'up'} */ (measure));
  const place = { on: member.name, [measure]: tapeLength(found.point[n], units) };
  const fits = passes(member.axis, n, found.point[n]);
  if (fits.length < 2) return place;
  const same = fits.filter((p) => p[1] < 0 === found.point[1] < 0);
  if (same.length === 1) return { ...place, side: found.point[1] < 0 ? 'left' : 'right' };
  return { ...place, near: found.point.map((mm) => tapeLength(mm, units)) };
}

/** How far from a tube's ends another is first put on it, in its diameters: room for both cuts. */
const OFF_END = 2.5;

/** The place of a tube nearest to a point, but not at its very ends. @param {Member} member @param {Point} point @returns {Point} */
function offTheEnds(member, point) {
  const total = lengthOf(member.axis);
  const room = Math.min(OFF_END * member.od, total / 3);
  return pointAt(member.axis, clamp(nearest(member.axis, point).along, room, total - room));
}

/** The point so far along a centre line, mm. @param {Point[]} axis @param {number} along @returns {Point} */
export function pointAt(axis, along) {
  let run = 0;
  for (let n = 0; n + 1 < axis.length; n += 1) {
    const step = size(minus(axis[n + 1], axis[n]));
    if (run + step >= along) return between(axis[n], axis[n + 1], step ? (along - run) / step : 0);
    run += step;
  }
  return axis[axis.length - 1];
}

/**
 * The place of the plan for a seat chosen from a list, near a point.
 * @param {Scene} scene
 * @param {string} seat `member main_hoop`, `foot hoop_left`, `point waist` or `coordinates `
 * @param {Point} point
 * @param {string} [measure]
 * @returns {PlanPlace}
 */
export function placeAt(scene, seat, point, measure) {
  const [kind, name] = seat.split(' ');
  const member = kind === 'member' && scene.members.find((m) => m.name === name);
  if (member) return placeOn(member, measure ? point : offTheEnds(member, point), scene.units, measure);
  if (kind === 'foot') return { foot: name };
  return kind === 'point' ? { point: name } : { at: point.map((mm) => tapeLength(mm, scene.units)) };
}

/** @param {Point} tangent */
function steepest(tangent) {
  const share = tangent.map(Math.abs);
  return share.indexOf(Math.max(...share));
}

/**
 * The word for the way a tube runs: of back, across and up the one it runs along most.
 * @param {Point} tangent
 */
export const wayOf = (tangent) => AXES[steepest(tangent)];

/**
 * The middle of a centre line.
 * @param {Point[]} axis
 * @returns {Point}
 */
export const middle = (axis) => pointAt(axis, lengthOf(axis) / 2);

/** @param {Point[]} axis mm */
export const lengthOf = (axis) => axis.slice(1).reduce((sum, p, n) => sum + size(minus(p, axis[n])), 0);
