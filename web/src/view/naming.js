// Which names are written beside the tubes, and where.

import { length, sub } from './vec.js';

/** @typedef {import('../types').Vec3} Vec3 */
/** @typedef {import('./overlay.js').Label} Label */
/** @typedef {{selected: {members: Set<string>, joints: Set<string>}, hovered: string | null, shades: Map<string, import('../shapes').Shade> | null, all: boolean}} Shown */

const MOST = 80; // labels: more than that cannot be read
const ORDER = { hovered: 0, selected: 1, name: 2 };

/**
 * The labels of the picture, the most important first.
 * @param {import('../types').Scene} scene
 * @param {{name: string, axis: Vec3[]}[]} shapes the tubes as they are drawn
 * @param {Shown} shown
 * @returns {Label[]}
 */
export function labelsOf(scene, shapes, { selected, hovered, shades, all }) {
  /** @type {Label[]} */
  const joints = scene.joints.filter((one) => selected.joints.has(one.name)).map((one) => ({ name: one.name, words: jointWords(one), at: one.point, kind: 'selected' }));
  /** @returns {Label[]} */
  const named = (/** @type {{name: string, axis: Vec3[]}} */ shape) => {
    const kind = selected.members.has(shape.name) ? 'selected' : shape.name === hovered ? 'hovered' : 'name';
    if (kind === 'name' && !all) return [];
    return [{ name: shape.name, words: tubeWords(shape.name, shades), at: middleOf(shape.axis), kind }];
  };
  return [...joints, ...shapes.flatMap(named)].sort((a, b) => ORDER[a.kind] - ORDER[b.kind]).slice(0, MOST);
}

/** @param {string} name @param {Shown['shades']} shades */
function tubeWords(name, shades) {
  const shade = shades?.get(name);
  return shade?.words ? `${sayName(name)}: ${shade.words}` : sayName(name);
}

/** Names, also of joints and marks, are written with words. @param {string} name */
export const sayName = (name) => name.replace(/\.bend(?=\d)/, ' bend ').replaceAll(/[_.]/g, ' ');

/** @param {import('../types').SceneJoint} joint */
const jointWords = (joint) => `${sayName(joint.branch)} on ${joint.mains.map(sayName).join(', ')}`;

/** The point half-way along a line. @param {Vec3[]} axis @returns {Vec3} */
function middleOf(axis) {
  const runs = axis.slice(1).map((point, i) => length(sub(point, axis[i])));
  let left = runs.reduce((sum, one) => sum + one, 0) / 2;
  const i = runs.findIndex((run) => (left -= run) <= 0);
  if (i < 0) return axis[0];
  const part = 1 + left / (runs[i] || 1);
  return /** @type {Vec3} */ (axis[i].map((one, k) => one + (axis[i + 1][k] - one) * part));
}
