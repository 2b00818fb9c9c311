/** Where a pick lies on a tube, how to say so as a place of the plan, and how far apart two tubes are. */

/** @typedef {import('./types.js').Point} Point */
/** @typedef {import('./types.js').Member} Member */

/** @typedef {{point: Point, along: number, tangent: Point, gap: number}} Nearest */

const AXES = /** @type {const} */ (['back', 'across', 'up']);

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
 * @param {0|1|2} n
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

/** @typedef {{on: string, up?: number|string, back?: number|string, across?: number|string, along?: number|string, part?: number|string, side?: string, near?: Point}} OnPlace */

/**
 * A place of the plan on a tube near a point: measured the way the tube runs there, with its side where several fit.
 * @param {Member} member
 * @param {Point} point
 * @param {(mm: number) => number|string} written a length as the plan writes it
 * @returns {OnPlace}
 */
export function placeOn(member, point, written) {
  const found = nearest(member.axis, point);
  const n = /** @type {0|1|2} */ (steepest(found.tangent));
  const place = /** @type {OnPlace} */ ({ on: member.name, [AXES[n]]: written(found.point[n]) });
  const others = passes(member.axis, n, found.point[n]);
  if (others.length < 2) return place;
  const same = others.filter((p) => p[1] < 0 === found.point[1] < 0);
  if (same.length === 1 && others.length > 1) return { ...place, side: found.point[1] < 0 ? 'left' : 'right' };
  return { on: member.name, along: written(found.along) };
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
export function middle(axis) {
  const total = lengthOf(axis);
  let run = 0;
  for (let n = 0; n + 1 < axis.length; n += 1) {
    const step = size(minus(axis[n + 1], axis[n]));
    if (run + step >= total / 2) return between(axis[n], axis[n + 1], step ? (total / 2 - run) / step : 0);
    run += step;
  }
  return axis[0];
}

/** @param {Point[]} axis mm */
export const lengthOf = (axis) => axis.slice(1).reduce((sum, p, n) => sum + size(minus(p, axis[n])), 0);
