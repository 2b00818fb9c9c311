// The cage beside the findings, with a mark where each is.

import { WRONG } from '../cage/words.js';
import { marksOf } from './groups.js';
import { makeView } from '../view/view.js';

/** @typedef {import('./groups.js').Finding} Finding */
/** @typedef {import('../types').Scene} Scene */

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
      view.show_parts({ lines: true, feet: true, names: false, people: true });
      if (first) view.fit();
    },
    /** @param {Finding[]} findings @param {Finding | null} chosen @param {string[]} tubes to be shown where no finding is chosen */
    mark(findings, chosen, tubes = []) {
      if (!scene) return;
      const loud = quieted(findings).filter((f) => f !== chosen);
      if (chosen) loud.push(chosen);
      view.marks(loud.flatMap(marksOf));
      view.select({ members: chosen?.where.tubes ?? tubes, joints: chosen?.where.joints ?? [] });
    },
    onPick: view.onPick,
  };
}
