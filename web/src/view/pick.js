// What lies under a finger: found in the picture's own pixels, with room for a glove.

import { between, length, sub } from './vec.js';

/** @typedef {import('../types').Vec3} Vec3 */
/** @typedef {import('./camera.js').Camera} Camera */
/** @typedef {{x: number, y: number}} Dot */
/** @typedef {{name: string, gap: number, depth: number, point: Vec3}} Hit gap: pixels outside the tube */

export const MOUSE = 6;
export const FINGER = 18;

/**
 * The member under a spot, or null.
 * @param {Camera} camera
 * @param {{name: string, axis: Vec3[], od: number}[]} members
 * @param {Dot} at
 * @param {number} room pixels allowed beside the tube
 * @param {(point: Vec3) => boolean} hidden
 * @returns {Hit | null} the nearest of those hit; else the one with the least gap
 */
export function memberAt(camera, members, at, room, hidden) {
  const hits = members.map((member) => hitOf(camera, member, at, hidden)).filter((hit) => hit !== null && hit.gap <= room);
  const best = /** @type {Hit[]} */ (hits).sort((a, b) => Math.max(a.gap, 0) - Math.max(b.gap, 0) || b.depth - a.depth);
  return best[0] ?? null;
}

/** @param {Camera} camera @param {{name: string, axis: Vec3[], od: number}} member @param {Dot} at @param {(point: Vec3) => boolean} hidden @returns {Hit | null} */
function hitOf(camera, member, at, hidden) {
  const spots = member.axis.map((point) => camera.spot(point));
  /** @type {Hit | null} */
  let best = null;
  for (let i = 1; i < spots.length; i += 1) {
    const [a, b] = [spots[i - 1], spots[i]];
    if (a.depth === -Infinity || b.depth === -Infinity) continue;
    const part = partNearest(a, b, at);
    const point = between(member.axis[i - 1], member.axis[i], part);
    if (hidden(point)) continue;
    const scale = a.scale + (b.scale - a.scale) * part;
    const gap = Math.hypot(a.x + (b.x - a.x) * part - at.x, a.y + (b.y - a.y) * part - at.y) - (member.od / 2) * scale;
    const depth = a.depth + (b.depth - a.depth) * part;
    if (!best || gap < best.gap) best = { name: member.name, gap, depth, point };
  }
  return best;
}

/** Where on the line from a to b is nearest, 0 to 1. @param {Dot} a @param {Dot} b @param {Dot} at */
export function partNearest(a, b, at) {
  const [dx, dy] = [b.x - a.x, b.y - a.y];
  const long = dx * dx + dy * dy;
  return long < 1e-9 ? 0 : Math.min(Math.max(((at.x - a.x) * dx + (at.y - a.y) * dy) / long, 0), 1);
}

/**
 * The nearest of some points under a spot, or null.
 * @template {{point: Vec3}} T
 * @param {Camera} camera @param {T[]} points @param {Dot} at @param {number} room @param {(point: Vec3) => boolean} hidden
 * @returns {T | null}
 */
export function pointAt(camera, points, at, room, hidden) {
  /** @type {T | null} */
  let best = null;
  let least = room;
  for (const one of points) {
    const spot = camera.spot(one.point);
    const gap = Math.hypot(spot.x - at.x, spot.y - at.y);
    if (spot.depth === -Infinity || gap > least || hidden(one.point)) continue;
    least = gap;
    best = one;
  }
  return best;
}

/**
 * @typedef {object} Pickable
 * @property {import('../types').Scene} scene
 * @property {{name: string, axis: Vec3[], od: number}[]} shapes the tubes as they are drawn
 * @property {boolean} feet whether feet are shown
 * @property {(point: Vec3) => boolean} hidden cut away by a section
 */

const ONE_JOINT = 160; // mm: a joint further than this from the tube that is hit lies before or behind it

/**
 * What a spot of the picture means: a tube, with the joint, the foot and the place that are near; null for nothing.
 * @param {Camera} camera @param {Pickable} cage @param {Dot} at @param {number} room pixels @param {boolean} shift
 * @returns {import('../shapes').Pick | null}
 */
export function pickOf(camera, { scene, shapes, feet, hidden }, at, room, shift) {
  const hit = memberAt(camera, shapes, at, room, hidden);
  const nearest = pointAt(camera, scene.joints, at, room + 6, hidden);
  const joint = nearest && (!hit || length(sub(nearest.point, hit.point)) < ONE_JOINT) ? nearest : null;
  const foot = feet ? pointAt(camera, scene.feet, at, room + 10, hidden) : null;
  const point = joint?.point ?? hit?.point ?? foot?.point;
  const sheet = point ? null : sheetAt(camera, scene, at, hidden);
  if (sheet) return { ...sheet, shift };
  if (!point) return null;
  const member = hit?.name ?? joint?.branch;
  const places = scene.members.find((one) => one.name === member)?.places ?? [];
  const place = pointAt(camera, places.map((one) => ({ index: one.index, point: one.at })), at, room + 8, hidden)?.index;
  return { point, shift, ...(member && { member }), ...(joint && { joint: joint.name }), ...(foot && { foot: foot.name }), ...(place !== undefined && { place }) };
}

/**
 * The plate or gusset that is drawn over a spot, or null.
 * @param {Camera} camera @param {import('../types').Scene} scene @param {Dot} at @param {(point: Vec3) => boolean} hidden
 * @returns {{point: Vec3, plate?: string, gusset?: string} | null}
 */
function sheetAt(camera, scene, at, hidden) {
  const over = (/** @type {{corners: Vec3[]}} */ one) => !one.corners.some(hidden) && inside(one.corners.map((corner) => camera.spot(corner)), at);
  const gusset = scene.gussets.find(over);
  if (gusset) return { gusset: gusset.name, point: gusset.point };
  const plate = scene.plates.find(over);
  return plate ? { plate: plate.name, point: plate.corners[0] } : null;
}

/** Whether a spot lies within a closed line: an odd number of its edges are to the right of it. @param {Dot[]} line @param {Dot} at */
function inside(line, at) {
  return line.filter((a, n) => {
    const b = line[(n + 1) % line.length];
    return a.y > at.y !== b.y > at.y && at.x < a.x + ((at.y - a.y) / (b.y - a.y)) * (b.x - a.x);
  }).length % 2 === 1;
}

/**
 * A point of anything that is drawn under a spot: a corner of a plate, a gusset or a foot, a mount, a helmet's middle, a
 * place on a body line; null for nothing.
 * @param {Camera} camera @param {import('../types').Scene} scene @param {Dot} at @param {number} room pixels @param {(point: Vec3) => boolean} hidden
 * @returns {Vec3 | null}
 */
export function anyPointAt(camera, scene, at, room, hidden) {
  const corners = [...scene.feet, ...scene.plates, ...scene.gussets].flatMap((one) => one.corners);
  const single = [...corners, ...scene.mounts.map((one) => one.point), ...scene.people.map((one) => one.helmet.centre)];
  const found = pointAt(camera, single.map((point) => ({ point })), at, room, hidden);
  const line = memberAt(camera, scene.lines.map((one) => ({ name: one.name, axis: one.points, od: 0 })), at, room, hidden);
  return found?.point ?? line?.point ?? null;
}
