// The picture drawn on a plain canvas, where WebGL is not to be had: each tube as a thick line with inked
// edges, from back to front.

import { BODY_LINE, DRIVER, FAINT_INK, INK, PAPER, RULE, SHEET } from './paints.js';
import { ground } from './solids.js';
import { between } from './vec.js';

/** @typedef {import('../types').Vec3} Vec3 */
/** @typedef {import('./camera.js').Camera} Camera */
/** @typedef {{depth: number, draw: () => void}} Stroke */

const PIECE = 160; // mm: long straights are drawn in pieces, so that each crossing is sorted by itself

/** A centre line in short straight pieces, and bends whole. @param {Vec3[]} axis @returns {Vec3[][]} */
function runsOf(axis) {
  /** @type {Vec3[][]} */
  const runs = [];
  /** @type {Vec3[]} */
  let bend = [];
  for (let i = 1; i < axis.length; i += 1) {
    const long = Math.hypot(...axis[i].map((one, k) => one - axis[i - 1][k]));
    if (long < 60) {
      bend = bend.length ? [...bend, axis[i]] : [axis[i - 1], axis[i]];
      continue;
    }
    if (bend.length) runs.push(bend);
    bend = [];
    const many = Math.ceil(long / PIECE);
    for (let k = 0; k < many; k += 1) runs.push([between(axis[i - 1], axis[i], k / many), between(axis[i - 1], axis[i], (k + 1) / many)]);
  }
  return bend.length ? [...runs, bend] : runs;
}

/** The line a little longer at both ends, to cover the seams between pieces. @param {{x: number, y: number}[]} spots */
function longer(spots) {
  const [a, b] = [spots[0], spots[1]];
  const [c, d] = [spots[spots.length - 2], spots[spots.length - 1]];
  const first = Math.hypot(a.x - b.x, a.y - b.y) || 1;
  const last = Math.hypot(d.x - c.x, d.y - c.y) || 1;
  return [{ x: a.x + (a.x - b.x) / first, y: a.y + (a.y - b.y) / first }, ...spots.slice(1, -1), { x: d.x + (d.x - c.x) / last, y: d.y + (d.y - c.y) / last }];
}

export class FlatStage {
  /** @param {HTMLCanvasElement} canvas */
  constructor(canvas) {
    this.kind = 'flat';
    this.canvas = canvas;
    this.ink = /** @type {CanvasRenderingContext2D} */ (canvas.getContext('2d'));
    this.ratio = 1;
    /** @type {Record<import('./stage.js').Layer, import('./stage.js').TubeShape[]>} */
    this.tubes = { own: [], under: [] };
    /** @type {import('../types').Scene | null} */
    this.scene = null;
    /** @type {Record<string, boolean>} */
    this.parts = { lines: true, people: true, feet: true, sheets: true };
    /** @type {(layer: import('./stage.js').Layer, shape: import('./stage.js').TubeShape) => import('./paints.js').Paint} */
    this.paintOf = () => ({ fill: SHEET, ink: INK, width: 1 });
    /** @type {{axis: number, at: number, side: number} | null} */
    this.cut = null;
  }

  /** Colours are asked for whenever it draws. */
  relight() {}

  /** @param {number} wide @param {number} high @param {number} ratio */
  resize(wide, high, ratio) {
    this.ratio = Math.min(ratio, 2);
    this.canvas.width = Math.round(wide * this.ratio);
    this.canvas.height = Math.round(high * this.ratio);
  }

  /** @param {import('./stage.js').Layer} layer @param {import('./stage.js').TubeShape[]} shapes */
  layer(layer, shapes) {
    this.tubes[layer] = shapes;
  }

  /** @param {FlatStage['paintOf']} paintOf */
  paint(paintOf) {
    this.paintOf = paintOf;
  }

  /** @param {import('../types').Scene} scene */
  things(scene) {
    this.scene = scene;
  }

  /** A scan has too many triangles for a plain canvas. @param {unknown} _mesh */
  scan(_mesh) {}

  /** @param {Record<string, boolean>} parts */
  show(parts) {
    this.parts = parts;
  }

  /** @param {{axis: number, at: number} | null} cut @param {number} side */
  section(cut, side) {
    this.cut = cut && { ...cut, side };
  }

  /** @param {Camera} camera */
  draw(camera) {
    const { ink } = this;
    ink.setTransform(this.ratio, 0, 0, this.ratio, 0, 0);
    ink.fillStyle = PAPER;
    ink.fillRect(0, 0, camera.wide, camera.high);
    ink.lineCap = 'butt';
    ink.lineJoin = 'round';
    if (!this.scene) return;
    this.thin(camera, ground(this.scene.box), RULE);
    if (this.parts.lines) this.thin(camera, this.scene.lines.map((line) => line.points), BODY_LINE);
    const strokes = [...this.sheets(camera), ...this.people(camera), ...this.members(camera, 'under'), ...this.members(camera, 'own')];
    strokes.sort((a, b) => a.depth - b.depth);
    for (const stroke of strokes) stroke.draw();
  }

  /** @param {Camera} camera @param {Vec3[][]} runs @param {string} colour */
  thin(camera, runs, colour) {
    this.ink.strokeStyle = colour;
    this.ink.lineWidth = 1;
    for (const run of runs) this.trace(camera, run, false);
  }

  /** @param {Camera} camera @param {Vec3[]} run @param {boolean} fill */
  trace(camera, run, fill) {
    const spots = run.map((point) => camera.spot(point));
    if (spots.some((spot) => spot.depth === -Infinity)) return;
    this.ink.beginPath();
    spots.forEach((spot, i) => (i ? this.ink.lineTo(spot.x, spot.y) : this.ink.moveTo(spot.x, spot.y)));
    if (fill) {
      this.ink.closePath();
      this.ink.fill();
    }
    this.ink.stroke();
  }

  /** @param {Vec3} point */
  hidden(point) {
    return this.cut !== null && (point[this.cut.axis] - this.cut.at) * this.cut.side < 0;
  }

  /** @param {Camera} camera @returns {Stroke[]} */
  sheets(camera) {
    const scene = /** @type {import('../types').Scene} */ (this.scene);
    const folded = [...(this.parts.feet ? scene.feet : []), ...(this.parts.sheets ? scene.gussets : [])];
    const faces = [...folded.flatMap((one) => [one.corners, ...one.faces]), ...(this.parts.sheets ? [...scene.plates.map((one) => one.corners), ...scene.couplings.flatMap((one) => one.faces.map(([face]) => face))] : [])];
    return faces.filter((face) => !this.hidden(face[0])).map((face) => ({
      depth: Math.min(...face.map((corner) => camera.spot(corner).depth)),
      draw: () => {
        this.ink.fillStyle = SHEET;
        this.ink.strokeStyle = INK;
        this.ink.lineWidth = 1;
        this.trace(camera, face, true);
      },
    }));
  }

  /** @param {Camera} camera @returns {Stroke[]} */
  people(camera) {
    const seated = this.parts.people ? this.scene?.people ?? [] : [];
    const parts = seated.flatMap(({ helmet: { centre, radius }, body }) => [{ start: centre, stop: centre, radius }, ...body]);
    return parts.filter((part) => !this.hidden(part.start)).flatMap((part) => this.bar(camera, part.start, part.stop, part.radius * 2, { fill: DRIVER, ink: FAINT_INK, width: 1 }));
  }

  /** @param {Camera} camera @param {import('./stage.js').Layer} layer @returns {Stroke[]} */
  members(camera, layer) {
    return this.tubes[layer].flatMap((shape) => {
      const paint = this.paintOf(layer, shape);
      return runsOf(shape.axis).flatMap((run) => (this.hidden(run[1]) ? [] : this.run(camera, run, shape.od, paint)));
    });
  }

  /** A round bar of a body. @param {Camera} camera @param {Vec3} from @param {Vec3} to @param {number} od @param {import('./paints.js').Paint} paint @returns {Stroke[]} */
  bar(camera, from, to, od, paint) {
    return this.run(camera, [from, to], od, paint, 'round');
  }

  /** @param {Camera} camera @param {Vec3[]} run @param {number} od @param {import('./paints.js').Paint} paint @param {CanvasLineCap} [cap] @returns {Stroke[]} */
  run(camera, run, od, paint, cap = 'butt') {
    const spots = run.map((point) => camera.spot(point));
    if (spots.some((spot) => spot.depth === -Infinity)) return [];
    const wide = Math.max(od * spots[0].scale, 1.5);
    const draw = () => {
      this.ink.lineCap = cap;
      this.stroke(spots, paint.ink, wide + paint.width * 2);
      this.stroke(cap === 'butt' ? longer(spots) : spots, paint.fill, wide);
    };
    return [{ depth: spots.reduce((sum, spot) => sum + spot.depth, 0) / spots.length, draw }];
  }

  /** @param {{x: number, y: number}[]} spots @param {string} colour @param {number} wide */
  stroke(spots, colour, wide) {
    this.ink.strokeStyle = colour;
    this.ink.lineWidth = wide;
    this.ink.beginPath();
    spots.forEach((spot, i) => (i ? this.ink.lineTo(spot.x + 0.01, spot.y) : this.ink.moveTo(spot.x, spot.y)));
    this.ink.stroke();
  }

  info() {
    return { kind: this.kind, geometries: 0, textures: 0, calls: 0, triangles: 0, materials: 0 };
  }

  dispose() {}
}
