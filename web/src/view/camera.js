// Where the picture is looked at from. Parallel projection, as on a drawing; the driver's view alone is from his eye.

import { add, along, cross, dot, sub, times, unit } from './vec.js';

/** @typedef {import('../types').Vec3} Vec3 */
/**
 * @typedef {object} Look
 * @property {Vec3} target the point in the middle of the picture, mm
 * @property {number} azimuth rad: from where, round the vertical; 0 from behind, a quarter turn from the right
 * @property {number} elevation rad: from how high
 * @property {number} scale pixels per mm (parallel), or focal length in pixels (from the eye)
 * @property {Vec3 | null} eye where the picture is taken from, or null for a parallel projection
 */
/** @typedef {{x: number, y: number, depth: number, scale: number}} Spot depth: larger is nearer */

const DEG = Math.PI / 180;
/** @type {Record<import('../shapes').Stand, [number, number]>} azimuth and elevation, degrees */
export const STANDS = {
  'three-quarter': [-142, 24],
  left: [-90, 0],
  right: [90, 0],
  front: [180, 0],
  rear: [0, 0],
  above: [-90, 90],
  driver: [0, -4],
};

export class Camera {
  constructor() {
    this.wide = 800;
    this.high = 600;
    /** @type {Look} */
    this.look = { target: [0, 0, 0], azimuth: -142 * DEG, elevation: 24 * DEG, scale: 0.3, eye: null };
    /** @type {{right: Vec3, up: Vec3, toward: Vec3}} */
    this.basis = { right: [1, 0, 0], up: [0, 0, 1], toward: [0, -1, 0] };
    this.set({});
  }

  /** @param {Partial<Look>} part */
  set(part) {
    const look = { ...this.look, ...part };
    look.elevation = Math.min(Math.max(look.elevation, -90 * DEG), 90 * DEG);
    look.scale = Math.min(Math.max(look.scale, look.eye ? 80 : 0.02), look.eye ? 8000 : 40);
    this.look = look;
    this.basis = basisOf(look);
  }

  /** @param {number} wide @param {number} high pixels */
  size(wide, high) {
    this.wide = Math.max(wide, 1);
    this.high = Math.max(high, 1);
  }

  /** Where a point is in the picture. @param {Vec3} point @returns {Spot} */
  spot(point) {
    const { right, up, toward } = this.basis;
    const from = sub(point, this.look.eye ?? this.look.target);
    const ahead = -dot(from, toward);
    const scale = this.look.eye ? this.look.scale / Math.max(ahead, 1) : this.look.scale;
    return {
      x: this.wide / 2 + dot(from, right) * scale,
      y: this.high / 2 - dot(from, up) * scale,
      depth: this.look.eye && ahead < 30 ? -Infinity : -ahead,
      scale,
    };
  }

  /** The point in the picture's plane through `near` that shows at x, y. @param {number} x @param {number} y @param {Vec3} near @returns {Vec3} */
  point(x, y, near) {
    const spot = this.spot(near);
    const { right, up } = this.basis;
    return along(along(near, right, (x - spot.x) / spot.scale), up, -(y - spot.y) / spot.scale);
  }

  /** Turn by pixels. @param {number} dx @param {number} dy */
  turn(dx, dy) {
    const way = this.look.eye ? -0.4 : 1;
    const azimuth = this.look.azimuth - dx * 0.0075 * way;
    this.set({ azimuth, elevation: this.look.elevation + dy * 0.0075 * way });
  }

  /** Move the picture by pixels. @param {number} dx @param {number} dy */
  move(dx, dy) {
    if (this.look.eye) return this.turn(dx, dy);
    const { right, up } = this.basis;
    const by = add(times(right, -dx / this.look.scale), times(up, dy / this.look.scale));
    return this.set({ target: add(this.look.target, by) });
  }

  /** Zoom about a spot. @param {number} factor @param {number} [x] @param {number} [y] */
  zoom(factor, x = this.wide / 2, y = this.high / 2) {
    const before = this.look.scale;
    this.set({ scale: before * factor });
    const grown = this.look.scale / before;
    if (!this.look.eye) this.move((this.wide / 2 - x) * (grown - 1), (this.high / 2 - y) * (grown - 1));
  }

  /** The look that fills the picture with the points. @param {Vec3[]} points @param {number} [margin] share left free */
  fitted(points, margin = 0.12) {
    const { right, up, toward } = this.basis;
    const axes = [right, up, toward].map((axis) => {
      const on = points.map((point) => dot(point, axis));
      return [Math.min(...on), Math.max(...on)];
    });
    const [x, y, z] = axes.map(([low, high]) => (low + high) / 2);
    const target = add(add(times(right, x), times(up, y)), times(toward, z));
    const room = 1 - 2 * margin;
    const wide = (this.wide * room) / Math.max(axes[0][1] - axes[0][0], 60);
    const high = (this.high * room) / Math.max(axes[1][1] - axes[1][0], 60);
    return { target, scale: Math.min(wide, high), eye: null };
  }
}

/** @param {Look} look */
function basisOf(look) {
  const [ca, sa, ce, se] = [Math.cos(look.azimuth), Math.sin(look.azimuth), Math.cos(look.elevation), Math.sin(look.elevation)];
  /** @type {Vec3} */
  const toward = [ce * ca, ce * sa, se];
  /** @type {Vec3} */
  const right = [-sa, ca, 0];
  return { toward, right, up: unit(cross(toward, right)) };
}

/** The look part-way between two, for a change that the eye can follow. @param {Look} a @param {Look} b @param {number} part @returns {Look} */
export function lookBetween(a, b, part) {
  const turn = Math.atan2(Math.sin(b.azimuth - a.azimuth), Math.cos(b.azimuth - a.azimuth));
  return {
    target: add(times(a.target, 1 - part), times(b.target, part)),
    azimuth: a.azimuth + turn * part,
    elevation: a.elevation + (b.elevation - a.elevation) * part,
    scale: a.scale * (b.scale / a.scale) ** part,
    eye: b.eye,
  };
}

/** @param {import('../shapes').Stand} name @returns {{azimuth: number, elevation: number}} */
export function standOf(name) {
  const [azimuth, elevation] = STANDS[name] ?? STANDS['three-quarter'];
  return { azimuth: azimuth * DEG, elevation: elevation * DEG };
}
