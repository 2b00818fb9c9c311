// The cage beside the findings, with a mark where each is.

import { middle } from '../cage/reach.js';
import { LOOKED_AT, WRONG } from '../cage/words.js';
import { makeView } from '../view/view.js';

/** @typedef {import('./groups.js').Finding} Finding */
/** @typedef {import('../types').Scene} Scene */
/** @typedef {import('../types').Vec3} Vec3 */

/** A picture full of marks shows nothing: what is only doubtful waits until nothing worse is there. */
const LOUD = [WRONG, ['cannot tell']];

/** @param {Finding[]} findings */
function quieted(findings) {
  for (const kinds of LOUD) {
    const found = findings.filter((f) => kinds.includes(f.verdict));
    if (found.length) return found;
  }
  return [];
}

/**
 * @param {HTMLElement} holder
 * @param {(id: string) => void} onMark told the finding whose mark is picked
 */
export function picture(holder, onMark) {
  const view = makeView(holder, { label: 'The cage; marks show where the findings are. The table beside lists them.' });
  /** @type {Scene | null} */
  let scene = null;
  view.onMark((/** @type {any} */ mark) => onMark(mark.key ?? mark));
  return {
    /** @param {Scene} next */
    show(next) {
      const first = scene === null;
      scene = next;
      view.show(next);
      view.show_parts({ lines: true, feet: true, names: false, driver: true });
      if (first) view.fit();
    },
    /** @param {Finding[]} findings @param {Finding | null} chosen */
    mark(findings, chosen) {
      if (!scene) return;
      const at = scene;
      const loud = quieted(findings).filter((f) => f !== chosen);
      if (chosen) loud.push(chosen);
      view.marks(loud.map((f) => markOf(f, at)).filter((m) => m !== null));
      view.select({ members: chosen?.where.tubes ?? [], joints: chosen?.where.joints ?? [] });
    },
    onPick: view.onPick,
  };
}

/** @param {Finding} finding @param {Scene} scene @returns {import('../shapes').Mark | null} */
function markOf(finding, scene) {
  const point = pointOf(finding, scene);
  if (!point) return null;
  const kind = finding.verdict === 'fail' ? 'wrong' : LOOKED_AT.includes(finding.verdict) ? 'doubt' : 'note';
  return { point, kind, words: `${finding.title}: ${finding.measured || finding.verdict}`, key: finding.id };
}

/** @param {Finding} finding @param {Scene} scene @returns {Vec3 | null} */
function pointOf({ where }, scene) {
  if (where.point) return where.point;
  const joint = scene.joints.find((j) => where.joints.includes(j.name));
  const foot = scene.feet.find((f) => where.feet.includes(f.name));
  const member = scene.members.find((m) => where.members.includes(m.name));
  return joint?.point ?? foot?.point ?? (member ? /** @type {any} */ (middle(/** @type {any} */ (member.axis))) : null);
}
