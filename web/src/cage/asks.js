/** Questions before a tube goes or is cut in two. */

import { askOneOf } from '../say.js';
import { leastGap } from './reach.js';
import { fixedTo, restingOn, withTwins } from './rests.js';
import { sayName } from './words.js';

/** @typedef {import('./types.js').Scene} Scene */
/** @typedef {import('./types.js').Member} Member */

/** Where more than so many tubes would go, the button that leaves them holds the keyboard. */
const FEW = 2;

/** @param {string[]} names */
const said = (names) => names.map(sayName).join(', ');

/**
 * The edit that removes the tubes, once the builder has seen what rests on them; null where he leaves it.
 * @param {Scene} scene
 * @param {string[]} names
 * @returns {Promise<Record<string, any>|null>}
 */
export async function askRemove(scene, names) {
  const twins = withTwins(scene, names).filter((name) => !names.includes(name));
  const rest = restingOn(scene, names);
  const fixed = fixedTo(scene, [...names, ...twins, ...rest]);
  const detail = [
    twins.length ? `On the other side: ${said(twins)}.` : '',
    rest.length ? `On it rest, and go with it: ${said(rest)}.` : 'No other tube rests on it.',
    fixed.length ? `Fixed to them: ${fixed.join(', ')}.` : '',
  ].filter(Boolean).join('\n');
  const all = names.length + twins.length + rest.length;
  const answer = await askOneOf(`Remove ${said(names)}?`, [
    { words: 'Keep', value: 'no', main: all > FEW },
    ...(twins.length && !rest.length ? [{ words: 'This side only', value: 'one side' }] : []),
    { words: all > 1 ? `Remove all ${all}` : 'Remove', value: 'yes', main: all <= FEW },
  ], detail);
  if (answer === 'one side') return { remove: { names, one_side: true } };
  return answer === 'yes' ? { remove: { names, ...(rest.length ? { dependents: true } : {}) } } : null;
}

/**
 * The edit that makes a tube in two on another that runs through it; null where there is none, or the builder leaves it.
 * @param {Scene} scene
 * @param {Member} member
 * @returns {Promise<Record<string, any>|null>}
 */
export async function askSplit(scene, member) {
  const through = runningThrough(scene, member);
  const name = sayName(member.name);
  if (!through.length) {
    await askOneOf(`No other tube runs through ${name}`, [{ words: 'Close', value: 'close', main: true }],
      'A tube is made in two where another runs through it and carries both halves. To run a new bar through others, add it with ‘In two where it runs through another tube’.');
    return null;
  }
  const on = await askOneOf(`Make ${name} in two, both halves cut to which tube?`, [
    { words: 'Leave it whole', value: '' },
    ...through.map((other, n) => ({ words: sayName(other), value: other, main: n === 0 })),
  ]);
  return on ? { split: { name: member.name, on } } : null;
}

/** Tubes that run through this one: they touch it, neither lands on the other. @param {Scene} scene @param {Member} member */
export function runningThrough(scene, member) {
  const rests = (/** @type {Member} */ one, /** @type {Member} */ other) => one.places.some((p) => p.on === other.name);
  return scene.members
    .filter((other) => other.name !== member.name && !rests(other, member) && !rests(member, other))
    .filter((other) => leastGap(member.axis, other.axis).gap <= (member.od + other.od) / 2)
    .map((other) => other.name);
}
