/** What rests on tubes, and what rests on that: it goes when they go. */

import { sayName } from './words.js';

/** @typedef {import('./types.js').Scene} Scene */

/**
 * Names of the tubes that rest on these, nearest first; tubes' twins on the other side count with them.
 * @param {Scene} scene
 * @param {string[]} names
 * @returns {string[]}
 */
export function restingOn(scene, names) {
  const gone = new Set(withTwins(scene, names));
  const first = gone.size;
  for (let before = -1; before !== gone.size; ) {
    before = gone.size;
    const more = scene.members.filter((m) => !gone.has(m.name) && m.places.some((p) => p.on && gone.has(p.on)));
    for (const name of withTwins(scene, more.map((m) => m.name))) gone.add(name);
  }
  return [...gone].slice(first);
}

/**
 * The tubes with their twins on the other side.
 * @param {Scene} scene
 * @param {string[]} names
 */
export function withTwins(scene, names) {
  const set = new Set(names);
  for (const m of scene.members) {
    if (m.mirror_of && set.has(m.mirror_of)) set.add(m.name);
    if (m.mirror_of && set.has(m.name)) set.add(m.mirror_of);
  }
  return [...set];
}

/**
 * What else is fixed to these tubes, in words: gussets and mounts.
 * @param {Scene} scene
 * @param {string[]} names
 * @returns {string[]}
 */
export function fixedTo(scene, names) {
  const gussets = scene.gussets.filter((g) => g.between.some((name) => names.includes(name))).map((g) => `gusset ${sayName(g.name)}`);
  const mounts = scene.mounts.filter((m) => names.includes(/** @type {any} */ (m).member)).map((m) => `${m.kind} mount ${sayName(m.name)}`);
  return [...gussets, ...mounts];
}
