// Reading values off curves.

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
