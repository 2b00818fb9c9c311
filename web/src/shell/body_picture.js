// The body in the picture: the plan's lines, scan and cage, or the points that a survey gives.

import { makeView } from '../view/view.js';

/** @typedef {import('../types').Scene} Scene */
/** @typedef {import('../types').Vec3} Vec3 */

/** Points that a line of the body runs through, on each side. */
const CHAINS = [
  ['pillar_base', 'pillar_mid', 'pillar_top', 'rail_mid', 'cant_rail'],
  ['sill_side', 'waist', 'side_mid', 'upper_side', 'cant_rail'],
];
const ACROSS = [['pillar_top_left', 'header', 'pillar_top_right'], ['cant_rail_left', 'roof_off_left', 'roof_centre', 'roof_off_right', 'cant_rail_right']];

/** @param {HTMLElement} holder */
export function bodyPicture(holder) {
  const view = makeView(holder, { label: 'The body: measured points and lines, the scan, and the cage. The tables give the numbers.' });
  let shown = false;
  /** @param {Scene} scene */
  function show(scene) {
    if (!scene.box) return; // a plan that cannot be read has no cage yet
    view.show(scene);
    view.show_parts({ lines: true, scan: true, people: true, feet: true, names: false });
    if (!shown) view.fit();
    shown = true;
  }
  return {
    view,
    show,
    /** @param {import('../types').MeasuredPoint[]} known @param {import('../shapes').Units} units @param {Scene | null} under the plan's scene, where there is one */
    survey(known, units, under) {
      const points = Object.fromEntries(known.map((point) => [point.name, point.at]));
      show(under?.revision ? { ...under, lines: [...under.lines, ...lines(points)] } : sceneOf(points, units));
      view.marks(known.map(({ name, shown: words, at }) => ({ point: at, kind: /** @type {const} */ ('note'), words, key: name })));
    },
  };
}

/** @param {Record<string, Vec3>} points @returns {import('../types').SceneLine[]} */
function lines(points) {
  const sides = ['left', 'right'].flatMap((side) => CHAINS.map((chain) => chain.map((name) => `${name}_${side}`)));
  return [...sides, ...ACROSS]
    .map((names) => ({ name: names[0], note: '', points: names.map((name) => points[name]).filter((point) => point !== undefined) }))
    .filter((line) => line.points.length > 1);
}

/** @param {Record<string, Vec3>} points @param {import('../shapes').Units} units @returns {Scene} */
function sceneOf(points, units) {
  const all = Object.values(points);
  const bound = (/** @type {number} */ axis, /** @type {(...v: number[]) => number} */ of, /** @type {number} */ otherwise) => (all.length ? of(...all.map((p) => p[axis])) : otherwise);
  /** @type {[Vec3, Vec3]} */
  const box = [
    [bound(0, Math.min, 0), bound(1, Math.min, -800), bound(2, Math.min, 0)],
    [bound(0, Math.max, 2500), bound(1, Math.max, 800), bound(2, Math.max, 1400)],
  ];
  return { number: 0, revision: null, title: '', units, box, members: [], joints: [], feet: [], plates: [], gussets: [], couplings: [], lines: lines(points), people: [], mounts: [], scan: null, stale: false };
}
