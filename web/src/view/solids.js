// Shapes of what is no tube: sheets, plates, the driver, the ground.

import { BufferAttribute, BufferGeometry, CapsuleGeometry, EdgesGeometry, Quaternion, ShapeUtils, SphereGeometry, Vector2, Vector3 } from 'three';
import { add, along, cross, dot, length, squareTo, sub, times, unit } from './vec.js';

/** @typedef {import('../types').Vec3} Vec3 */

/** @param {Vec3[]} corners @returns {Vec3} square to the sheet (Newell's method) */
export function sheetNormal(corners) {
  /** @type {Vec3} */
  let sum = [0, 0, 0];
  corners.forEach((a, i) => (sum = add(sum, cross(a, corners[(i + 1) % corners.length]))));
  return length(sum) > 1e-9 ? unit(sum) : [0, 0, 1];
}

/**
 * A sheet of even thickness with flat faces.
 * @param {Vec3[]} corners in order
 * @param {number} thickness mm
 * @param {Vec3} [out] the side that it lies on; on both sides of the corners where not given
 */
export function sheet(corners, thickness, out) {
  const normal = out ?? sheetNormal(corners);
  const below = corners.map((corner) => along(corner, normal, out ? 0 : -thickness / 2));
  const above = corners.map((corner) => along(corner, normal, out ? thickness : thickness / 2));
  const flip = dot(sheetNormal(corners), normal) < 0;
  /** @type {Vec3[][]} */
  const faces = [];
  for (const [a, b, c] of triangles(corners, normal)) {
    faces.push([above[a], above[b], above[c]], [below[a], below[c], below[b]]);
  }
  corners.forEach((_, i) => {
    const next = (i + 1) % corners.length;
    const side = [[below[i], below[next], above[next]], [below[i], above[next], above[i]]];
    for (const one of side) faces.push(flip ? one.toReversed() : one);
  });
  return flat(faces);
}

/** @param {Vec3[]} corners @param {Vec3} normal @returns {number[][]} */
function triangles(corners, normal) {
  const u = squareTo(normal);
  const v = cross(normal, u);
  return ShapeUtils.triangulateShape(corners.map((one) => new Vector2(dot(one, u), dot(one, v))), []);
}

/** @param {Vec3[][]} faces each three points */
function flat(faces) {
  const made = new BufferGeometry();
  made.setAttribute('position', new BufferAttribute(new Float32Array(faces.flat(2)), 3));
  made.computeVertexNormals();
  return made;
}

/** The edges of a flat-faced shape, as pairs of points. @param {BufferGeometry} shape */
export const edgesOf = (shape) => new EdgesGeometry(shape, 20);

/** @param {Vec3} centre @param {number} radius */
export function ball(centre, radius) {
  return new SphereGeometry(radius, 64, 40).translate(...centre);
}

/** A round bar with round ends. @param {Vec3} from @param {Vec3} to @param {number} radius */
export function capsule(from, to, radius) {
  const way = sub(to, from);
  const made = new CapsuleGeometry(radius, length(way), 10, 28);
  const turned = new Quaternion().setFromUnitVectors(new Vector3(0, 1, 0), new Vector3(...unit(way)));
  return made.applyQuaternion(turned).translate(...times(add(from, to), 0.5));
}

/** Points of a thin-line shape. @param {Vec3[][]} runs polylines */
export function polylines(runs) {
  const made = new BufferGeometry();
  const pairs = runs.flatMap((run) => run.slice(1).flatMap((point, i) => [...run[i], ...point]));
  made.setAttribute('position', new BufferAttribute(new Float32Array(pairs), 3));
  return made;
}

/** The floor under the cage: a frame with a line each half metre. @param {[Vec3, Vec3]} box @returns {Vec3[][]} */
export function ground([low, high]) {
  const step = 500;
  const [x0, y0] = [0, 1].map((i) => Math.floor((low[i] - 150) / step) * step);
  const [x1, y1] = [0, 1].map((i) => Math.ceil((high[i] + 150) / step) * step);
  /** @type {Vec3[][]} */
  const runs = [];
  for (let x = x0; x <= x1; x += step) runs.push([[x, y0, 0], [x, y1, 0]]);
  for (let y = y0; y <= y1; y += step) runs.push([[x0, y, 0], [x1, y, 0]]);
  return runs;
}
