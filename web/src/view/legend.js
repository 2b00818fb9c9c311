// The colour ramp with its numbers, shown while tubes are coloured by a result.

import { element } from '../say.js';
import { rampGradient } from './ramp.js';

/** @typedef {{title: string, ticks: {at: number, words: string}[]}} LegendWords at: 0 to 1 along the ramp */

/** @param {LegendWords} words */
export function legend({ title, ticks }) {
  const box = element('figure', '', 'legend');
  const bar = element('div', '', 'legend-bar');
  bar.style.backgroundImage = rampGradient();
  const scale = element('div', '', 'legend-ticks');
  for (const tick of ticks) {
    const one = element('span', tick.words);
    one.style.left = `${Math.min(Math.max(tick.at, 0), 1) * 100}%`;
    scale.append(one);
  }
  box.append(element('figcaption', title), bar, scale);
  return box;
}
