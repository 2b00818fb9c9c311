// Reading values off curves.

import { fixed } from './numbers.js';

/** @typedef {{x: number, y: number, words: string}} Spot a point of a curve with words beside it */
/** @typedef {{name: string, x: number[], y: number[], spots?: Spot[]}} Curve x rising */

/** The value of a curve at x, straight between its points; null beyond its ends. @param {Curve} curve @param {number} x */
export function valueAt(curve, x) {
  const i = curve.x.findIndex((one) => one >= x);
  if (i < 0 || !curve.x.length || x < curve.x[0]) return null;
  if (i === 0 || curve.x[i] === curve.x[i - 1]) return curve.y[i];
  const part = (x - curve.x[i - 1]) / (curve.x[i] - curve.x[i - 1]);
  return curve.y[i - 1] + part * (curve.y[i] - curve.y[i - 1]);
}

/** Round numbers of x for the table, `rows` or fewer. @param {Curve[]} curves @param {number} rows */
export function tableAt(curves, rows) {
  const top = Math.max(...curves.map((curve) => curve.x[curve.x.length - 1] ?? 0), 0);
  if (top <= 0) return [0];
  const rough = top / rows;
  const ten = 10 ** Math.floor(Math.log10(rough));
  const step = ([1, 2, 5, 10].find((one) => one * ten >= rough * 0.999) ?? 10) * ten;
  return Array.from({ length: Math.floor(top / step + 1e-9) + 1 }, (_, i) => i * step);
}

/** The inside figure (mm, N) as the axis of a graph reads it, with its unit. @param {import('./types').GraphAxis} axis @param {number} value */
export const onAxis = (axis, value) => `${fixed(value / axis.scale, axis.places)} ${axis.unit}`;

/** The curve of an answer in the units of its axes. @param {string} name @param {import('./types').LoadCurve} curve @param {Spot[]} [spots] of inside figures @returns {Curve} */
export function curveOf(name, { x, y, travel, load }, spots = []) {
  const put = (/** @type {Spot} */ spot) => ({ ...spot, x: spot.x / x.scale, y: spot.y / y.scale });
  return { name, x: travel.map((mm) => mm / x.scale), y: load.map((n) => n / y.scale), spots: spots.map(put) };
}

/** What a plot is told of the axes. @param {string} label @param {import('./types').LoadCurve} curve */
export const plotWords = (label, { x, y }) => ({ label, x: `${x.label}, ${x.unit}`, y: `${y.label}, ${y.unit}`, xDigits: x.places, yDigits: y.places });
