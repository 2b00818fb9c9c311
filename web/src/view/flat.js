// The picture drawn on a plain canvas, where WebGL is not to be had: each tube as a thick line with inked
// edges, from back to front.

import { BODY_LINE, DRIVER, FAINT_INK, INK, PAPER, RULE, SHEET } from './paints.js';
import { ground } from './solids.js';

/** @typedef {import('../types').Vec3} Vec3 */
/** @typedef {import('./camera.js').Camera} Camera */
/** @typedef {{depth: number, draw: () => void}} Stroke */

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
    this.parts = {};
    /** @type {(layer: import('./stage.js').Layer, shape: import('./stage.js').TubeShape) => import('./paints.js').Paint} */
    this.paintOf = () => ({ fill: SHEET, ink: INK, width: 1 });
    /** @type {{axis: number, at: number, side: number} | null} */
    this.cut = null;
  }

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
    const strokes = [...this.sheets(camera), ...this.driver(camera), ...this.members(camera, 'under'), ...this.members(camera, 'own')];
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
    const sheets = [...(this.parts.feet ? scene.feet : []), ...scene.plates, ...scene.gussets];
    return sheets.filter((one) => !this.hidden(one.corners[0])).map((one) => ({
      depth: Math.min(...one.corners.map((corner) => camera.spot(corner).depth)),
      draw: () => {
        this.ink.fillStyle = SHEET;
        this.ink.strokeStyle = INK;
        this.ink.lineWidth = 1;
        this.trace(camera, one.corners, true);
      },
    }));
  }

  /** @param {Camera} camera @returns {Stroke[]} */
  driver(camera) {
    const driver = this.scene?.driver;
    if (!driver || !this.parts.driver) return [];
    const { centre, radius } = driver.helmet;
    const parts = [{ from: centre, to: centre, radius }, ...driver.body];
    return parts.filter((part) => !this.hidden(part.from)).flatMap((part) => this.segment(camera, part.from, part.to, part.radius * 2, { fill: DRIVER, ink: FAINT_INK, width: 1 }, 'round'));
  }

  /** @param {Camera} camera @param {import('./stage.js').Layer} layer @returns {Stroke[]} */
  members(camera, layer) {
    return this.tubes[layer].flatMap((shape) => {
      const paint = this.paintOf(layer, shape);
      return shape.axis.slice(1).flatMap((to, i) => this.hidden(to) ? [] : this.segment(camera, shape.axis[i], to, shape.od, paint, 'butt'));
    });
  }

  /** @param {Camera} camera @param {Vec3} from @param {Vec3} to @param {number} od @param {import('./paints.js').Paint} paint @param {CanvasLineCap} cap @returns {Stroke[]} */
  segment(camera, from, to, od, paint, cap) {
    const [a, b] = [camera.spot(from), camera.spot(to)];
    if (a.depth === -Infinity || b.depth === -Infinity) return [];
    const wide = Math.max((od * (a.scale + b.scale)) / 2, 1.5);
    const draw = () => {
      this.ink.lineCap = cap;
      this.stroke(a, b, paint.ink, wide + paint.width * 2);
      this.ink.lineCap = 'round';
      this.stroke(a, b, paint.fill, wide);
    };
    return [{ depth: (a.depth + b.depth) / 2, draw }];
  }

  /** @param {{x: number, y: number}} a @param {{x: number, y: number}} b @param {string} colour @param {number} wide */
  stroke(a, b, colour, wide) {
    this.ink.strokeStyle = colour;
    this.ink.lineWidth = wide;
    this.ink.beginPath();
    this.ink.moveTo(a.x, a.y);
    this.ink.lineTo(b.x + 0.01, b.y);
    this.ink.stroke();
  }

  info() {
    return { kind: this.kind, geometries: 0, textures: 0, calls: 0, triangles: 0, materials: 0 };
  }

  dispose() {}
}
