/** Several places at once: whole tubes by a step, and what two tubes can have done together. */

import { button, el } from './dom.js';
import { numberField } from './number_field.js';
import { minus, size } from './reach.js';
import { AXES } from './words.js';

/** @typedef {import('./bench.js').Holder} Holder */
/** @typedef {import('./types.js').Member} Member */
/** @typedef {import('./types.js').Joint} Joint */

/**
 * All places of these tubes by one step: bends by it, ends along what they sit on, feet and points with them.
 * @param {Holder} bench @param {Member[]} members @param {import('./chosen.js').Does} does
 */
export function moveWhole(bench, members, does) {
  const by = /** @type {(number|string)[]} */ ([0, 0, 0]);
  const asked = () => ({ move: { members: members.map((m) => m.name), whole: true, by: [...by] } });
  const some = () => by.some((one) => parseFloat(String(one)) !== 0);
  const put = (/** @type {number} */ n, /** @type {number|string} */ value, /** @type {(edit: Record<string, any>) => void} */ act) => {
    by[n] = value;
    if (some()) act(asked());
    else does.leave();
  };
  return el('details', { class: 'cage-size cage-whole' }, el('summary', { text: members.length > 1 ? 'Move them together' : 'Move the whole tube' }),
    el('div', { class: 'cage-three' }, AXES.map((axis, n) => el('label', { class: 'cage-axis' }, el('span', { text: axis }), numberField({
      label: `Move by, ${axis}`, key: `whole ${axis}`, value: 0, units: bench.now.scene.units,
      onTry: (value) => put(n, value, does.attempt), onSet: (value) => put(n, value, does.attempt),
    })))),
    el('div', { class: 'cage-actions' },
      button('Move it so', () => some() && void does.edit(asked()), { class: 'main', 'data-key': 'whole set' }),
      button('Leave it', () => { does.leave(); bench.set({}, 'chosen'); }, { 'data-key': 'whole leave' })));
}

/** How near two halves end to one another, in the diameters of their main. */
const NEAR = 1.5;

/** The other half where a joint's branch goes on behind its main, or null. @param {Holder} bench @param {Joint} joint */
export function otherHalf(bench, joint) {
  const branch = bench.member(joint.branch);
  const main = bench.member(joint.mains[0]);
  if (!branch || !main) return null;
  const found = bench.now.scene.joints.find((other) => other.branch !== joint.branch && other.mains[0] === main.name
    && bench.member(other.branch)?.tube === branch.tube && size(minus(other.point, joint.point)) < NEAR * main.od
    && inLine(branch, joint, /** @type {Member} */ (bench.member(other.branch)), other));
  return found ? bench.member(found.branch) : null;
}

/** @param {Member} a @param {Joint} at @param {Member} b @param {Joint} there */
function inLine(a, at, b, there) {
  const [p, q] = [wayIn(a, at), wayIn(b, there)];
  return p[0] * q[0] + p[1] * q[1] + p[2] * q[2] < -0.999;
}

/** The unit way into the tube from its end. @param {Member} m @param {Joint} j */
function wayIn(m, j) {
  const line = j.which === 'start' ? m.axis : [...m.axis].reverse();
  const way = minus(line[1], line[0]);
  const far = size(way) || 1;
  return way.map((one) => one / far);
}
