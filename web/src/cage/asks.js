/** Questions before a tube goes or is cut in two. */

import { fieldLength, parseLength } from '../numbers.js';
import { askOneOf, askText, say } from '../say.js';
import { lengthOf } from './reach.js';
import { fixedTo, restingOn, withTwins } from './rests.js';

/** @typedef {import('./types.js').Scene} Scene */
/** @typedef {import('./types.js').Member} Member */

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
    twins.length ? `On the other side: ${twins.join(', ')}.` : '',
    rest.length ? `On it rest, and go with it: ${rest.join(', ')}.` : 'No other tube rests on it.',
    fixed.length ? `Fixed to them: ${fixed.join(', ')}.` : '',
  ].filter(Boolean).join('\n');
  const all = names.length + twins.length + rest.length;
  const answer = await askOneOf(`Remove ${names.join(', ')}?`, [
    { words: 'Keep', value: 'no' },
    ...(twins.length && !rest.length ? [{ words: 'This side only', value: 'one side' }] : []),
    { words: all > 1 ? `Remove all ${all}` : 'Remove', value: 'yes', main: true },
  ], detail);
  if (answer === 'one side') return { do: 'remove', members: names, one_side: true };
  return answer === 'yes' ? { do: 'remove', members: names, ...(rest.length ? { dependents: true } : {}) } : null;
}

/**
 * The edit that makes a tube in two; null where the builder leaves it.
 * @param {Scene} scene
 * @param {Member} member
 * @returns {Promise<Record<string, any>|null>}
 */
export async function askSplit(scene, member) {
  const length = lengthOf(member.axis);
  const middle = fieldLength(Math.round(length / 2), scene.units);
  const typed = await askText(`Split ${member.name} how far from its start, or on which tube?`, {
    value: middle, yes: 'Split it',
    hint: `A distance along it, up to ${fieldLength(Math.floor(length), scene.units)}, or the name of a tube that runs through it.`,
  });
  if (typed === null) return null;
  if (scene.members.some((m) => m.name === typed.trim())) return { do: 'split', member: member.name, on: typed.trim() };
  if (parseLength(typed, scene.units) === null) {
    say(`‘${typed}’ is no length and no tube.`, 'wrong');
    return null;
  }
  return { do: 'split', member: member.name, along: typed.trim() };
}
