/** The tables beside the picture: tubes, and joints and feet; both in step with it. */

import { shortLength, sayMass } from '../numbers.js';
import { el } from './dom.js';
import { redraw } from './panel.js';
import { showChosen, tableOf } from './rows.js';
import { KINDS, LOOKED_AT, MARKS, sayName, trimmed, tubeSize } from './words.js';

/** @typedef {import('./types.js').Finding} Finding */
/** @typedef {import('./types.js').Member} Member */
/** @typedef {import('./bench.js').Holder} Holder */
/** @typedef {import('./bench.js').Now} Now */

/**
 * The worst finding of each tube, joint and foot.
 * @param {Finding[]} findings
 * @returns {Map<string, {kind: string, count: number}>}
 */
export function worstOf(findings) {
  const worst = /** @type {Map<string, {kind: string, count: number}>} */ (new Map());
  for (const finding of findings) {
    const kind = finding.verdict;
    if (!LOOKED_AT.includes(kind)) continue;
    for (const name of new Set([...finding.where.members, ...finding.where.joints, ...finding.where.feet])) {
      const old = worst.get(name);
      if (!old || KINDS.indexOf(kind) < KINDS.indexOf(old.kind)) worst.set(name, { kind, count: 1 });
      else if (old.kind === kind) old.count += 1;
    }
  }
  return worst;
}

/** @param {{kind: string, count: number}|undefined} found */
export function markOf(found) {
  if (!found) return el('span', { class: 'cage-mark', 'data-kind': 'none', 'aria-label': 'nothing found' }, '');
  const words = `${found.count} ${found.kind}`;
  return el('span', { class: 'cage-mark', 'data-kind': found.kind, role: 'img', 'aria-label': words, title: words }, MARKS[found.kind]);
}

/**
 * @param {HTMLElement} holder
 * @param {Holder} bench
 */
export function tubesTable(holder, bench) {
  const draw = () => {
    const { scene, chosen, findings } = bench.now;
    const { units } = scene;
    const worst = worstOf(findings);
    const rows = scene.members.map((m) => ({
      key: m.name,
      chosen: chosen.members.includes(m.name),
      kind: worst.get(m.name)?.kind,
      cells: [
        el('span', { class: 'cage-name' }, el('b', { text: sayName(m.name) }), el('small', { text: m.role })),
        tubeSize(m.od, m.wall, units), bareLength(m.length, units), sayMass(m.mass, units).replace(/ .*/, ''),
        String(m.bends.length), markOf(worst.get(m.name)),
      ],
    }));
    const mass = units === 'mm' ? 'kg' : 'lb';
    redraw(holder, tableOf({
      caption: `${scene.members.length} tubes`, heads: ['Name and role', 'Tube', units === 'mm' ? 'Length, mm' : 'Length', mass, 'Bends', 'Found'], rows,
      onChoose: (name, more) => bench.choose({ members: more ? toggled(bench.now.chosen.members, name) : [name] }),
    }));
  };
  bench.on(['scene', 'figures'], draw);
  bench.on(['chosen'], (now) => showChosen(holder, new Set(now.chosen.members)));
  draw();
}

/** @param {number} mm @param {import('./types.js').Units} units */
const bareLength = (mm, units) => (units === 'mm' ? trimmed(mm, 0) : shortLength(mm, units));

/** @param {string[]} names @param {string} name */
export const toggled = (names, name) => (names.includes(name) ? names.filter((n) => n !== name) : [...names, name]);

/**
 * @param {HTMLElement} holder
 * @param {Holder} bench
 */
export function jointsTable(holder, bench) {
  const draw = () => {
    const { scene, chosen, findings } = bench.now;
    const worst = worstOf(findings);
    const joints = scene.joints.map((j) => ({
      key: j.name, chosen: chosen.joints.includes(j.name), kind: worst.get(j.name)?.kind,
      cells: [el('b', { text: `${sayName(j.branch)}, ${j.which}` }), j.mains.map(sayName).join(', '), place(j.point, scene.units), markOf(worst.get(j.name))],
    }));
    const feet = scene.feet.map((f) => ({
      key: f.name, chosen: chosen.feet.includes(f.name), kind: worst.get(f.name)?.kind,
      cells: [el('b', { text: sayName(f.name) }), f.seat, place(f.point, scene.units), markOf(worst.get(f.name))],
    }));
    const plates = scene.plates.map((p) => ({ key: `plate ${p.name}`, chosen: chosen.plates.includes(p.name), cells: [el('b', { text: sayName(p.name) }), `${p.corners.length}`, shortLength(p.thickness, scene.units)] }));
    const gussets = scene.gussets.map((g) => ({ key: `gusset ${g.name}`, chosen: chosen.gussets.includes(g.name), cells: [el('b', { text: sayName(g.name) }), g.between.map(sayName).join(', '), `${shortLength(g.leg, scene.units)}, ${g.kind}`] }));
    const sheets = (/** @type {string} */ key) => bench.choose(key.startsWith('plate ') ? { plates: [key.slice(6)] } : { gussets: [key.slice(7)] });
    redraw(holder,
      tableOf({ caption: `${joints.length} joints`, heads: ['Joint', 'Cut to', 'Back, across, up', 'Found'], rows: joints, empty: 'No tube ends on another yet.', onChoose: (name) => bench.choose({ joints: [name] }) }),
      tableOf({ caption: `${feet.length} feet`, heads: ['Foot', 'Stands on', 'Back, across, up', 'Found'], rows: feet, empty: 'No tube stands on a foot yet.', onChoose: (name) => bench.choose({ feet: [name] }) }),
      gussets.length ? tableOf({ caption: `${gussets.length} gussets`, heads: ['Gusset', 'Between', 'Leg, kind'], rows: gussets, onChoose: sheets }) : null,
      plates.length ? tableOf({ caption: `${plates.length} plates`, heads: ['Plate', 'Corners', 'Thickness'], rows: plates, onChoose: sheets }) : null);
  };
  bench.on(['scene', 'figures'], draw);
  bench.on(['chosen'], (now) => showChosen(holder, new Set([...now.chosen.joints, ...now.chosen.feet, ...now.chosen.plates.map((n) => `plate ${n}`), ...now.chosen.gussets.map((n) => `gusset ${n}`)])));
  draw();
}

/** @param {import('./types.js').Point} point @param {import('./types.js').Units} units */
const place = (point, units) => point.map((mm) => bareLength(mm, units)).join(', ');
