// A place on the scan under the pointer: the first triangle that the line of sight meets.

import { cross, dot, sub, unit } from '../view/vec.js';

/** @typedef {import('../types').Vec3} Vec3 */
/** @typedef {import('../view/scan.js').ScanMesh} ScanMesh */
/** @typedef {import('../view/camera.js').Camera} Camera */

/**
 * @param {Camera} camera
 * @param {number} x pixels in the picture
 * @param {number} y
 * @returns {{from: Vec3, way: Vec3}} where the line of sight is, and its direction away from the eye
 */
export function sightLine(camera, x, y) {
  const { eye, target } = camera.look;
  const { toward } = camera.basis;
  /** @type {Vec3} */
  const away = [-toward[0], -toward[1], -toward[2]];
  if (!eye) return { from: camera.point(x, y, target), way: away };
  /** @type {Vec3} */
  const ahead = [eye[0] + away[0] * 1000, eye[1] + away[1] * 1000, eye[2] + away[2] * 1000];
  return { from: eye, way: unit(sub(camera.point(x, y, ahead), eye)) };
}

/**
 * Where the line meets the mesh nearest to the eye; null where it meets nothing.
 * Source: T. Moller, B. Trumbore, J. Graphics Tools 2 (1997) 21 (from memory, unchecked).
 * @param {ScanMesh} mesh
 * @param {Vec3} from
 * @param {Vec3} way of unit length
 * @param {boolean} ahead whether only what lies before `from` counts, as from an eye
 * @returns {Vec3 | null}
 */
export function meets(mesh, from, way, ahead = false) {
  const { positions, index } = mesh;
  const corner = (/** @type {number} */ n) => /** @type {Vec3} */ ([positions[3 * n], positions[3 * n + 1], positions[3 * n + 2]]);
  let nearest = Infinity;
  for (let t = 0; t < index.length; t += 3) {
    const a = corner(index[t]);
    const at = crossing(a, sub(corner(index[t + 1]), a), sub(corner(index[t + 2]), a), from, way);
    if (at !== null && at < nearest && (!ahead || at > 0)) nearest = at;
  }
  if (nearest === Infinity) return null;
  return [from[0] + way[0] * nearest, from[1] + way[1] * nearest, from[2] + way[2] * nearest];
}

/**
 * How far along the line the triangle's plane is met inside it; null where it is not.
 * @param {Vec3} a a corner @param {Vec3} e1 @param {Vec3} e2 to the other corners @param {Vec3} from @param {Vec3} way
 */
function crossing(a, e1, e2, from, way) {
  const p = cross(way, e2);
  const flat = dot(e1, p);
  if (Math.abs(flat) < 1e-9) return null;
  const s = sub(from, a);
  const u = dot(s, p) / flat;
  if (u < 0 || u > 1) return null;
  const q = cross(s, e1);
  const v = dot(way, q) / flat;
  return v < 0 || u + v > 1 ? null : dot(e2, q) / flat;
}

/** Corners of the box round the mesh. @param {ScanMesh} mesh @returns {Vec3[]} */
export function boxOf({ positions }) {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let n = 0; n < positions.length; n += 1) {
    low[n % 3] = Math.min(low[n % 3], positions[n]);
    high[n % 3] = Math.max(high[n % 3], positions[n]);
  }
  return [0, 1, 2, 3, 4, 5, 6, 7].map((n) => /** @type {Vec3} */ ([0, 1, 2].map((axis) => ((n >> axis) & 1 ? high[axis] : low[axis]))));
}
