// Vectors as plain arrays of three numbers.

/** @typedef {import('../types').Vec3} Vec3 */

/** @param {Vec3} a @param {Vec3} b @returns {Vec3} */
export const add = (a, b) => [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
/** @param {Vec3} a @param {Vec3} b @returns {Vec3} */
export const sub = (a, b) => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
/** @param {Vec3} a @param {number} k @returns {Vec3} */
export const times = (a, k) => [a[0] * k, a[1] * k, a[2] * k];
/** a + k b. @param {Vec3} a @param {Vec3} b @param {number} k @returns {Vec3} */
export const along = (a, b, k) => [a[0] + b[0] * k, a[1] + b[1] * k, a[2] + b[2] * k];
/** @param {Vec3} a @param {Vec3} b */
export const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
/** @param {Vec3} a @param {Vec3} b @returns {Vec3} */
export const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
/** @param {Vec3} a */
export const length = (a) => Math.hypot(a[0], a[1], a[2]);
/** @param {Vec3} a @returns {Vec3} the unit vector; nought stays nought */
export const unit = (a) => times(a, 1 / (length(a) || 1));
/** @param {Vec3} a @param {Vec3} b @param {number} part @returns {Vec3} */
export const between = (a, b, part) => along(times(a, 1 - part), b, part);
/** A unit vector square to `a`. @param {Vec3} a @returns {Vec3} */
export function squareTo(a) {
  const least = Math.abs(a[0]) < 0.6 ? /** @type {Vec3} */ ([1, 0, 0]) : /** @type {Vec3} */ ([0, 1, 0]);
  return unit(cross(a, least));
}
