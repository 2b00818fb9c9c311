/** The strip over the picture: weight, cost, least gaps and findings, each with what the last change did to it. */

import { fixed, sayLength, sayMass } from '../numbers.js';
import { el, fill } from './dom.js';
import { countKinds } from './findings_list.js';
import { MARKS } from './words.js';

/** @typedef {import('./bench.js').Holder} Holder */
/** @typedef {import('./types.js').Units} Units */

/** @param {HTMLElement} holder @param {Holder} bench @param {() => void} onFindings */
export function strip(holder, bench, onFindings) {
  const draw = () => {
    const { scene, trial } = bench.now;
    const figures = trial?.figures ?? bench.now.figures;
    const findings = trial?.findings ?? bench.now.findings;
    const before = trial ? { figures: bench.now.figures, counts: countKinds(bench.now.findings) } : bench.now.before;
    fill(holder);
    void [scene, figures, findings, before, el, MARKS, fixed, sayLength, sayMass, onFindings];
  };
  bench.on(['scene', 'figures', 'trial'], draw);
  draw();
}
