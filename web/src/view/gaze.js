// Changing where the picture is looked at from, gliding there where the builder allows motion.

import { lookBetween, standOf } from './camera.js';

/** @typedef {import('../types').Vec3} Vec3 */
/** @typedef {import('./camera.js').Camera} Camera */
/** @typedef {import('./camera.js').Look} Look */

const GLIDE = 320; // ms for a change of view
const still = () => matchMedia('(prefers-reduced-motion: reduce)').matches || document.hidden;

export class Gaze {
  /**
   * @param {Camera} camera
   * @param {{points: (names?: string[]) => Vec3[], eye: () => Vec3, looked: () => void}} cage what is looked at
   */
  constructor(camera, cage) {
    this.camera = camera;
    this.cage = cage;
    this.frame = 0;
  }

  stop() {
    cancelAnimationFrame(this.frame);
  }

  /** Change the camera at once. @param {() => void} how */
  change(how) {
    this.stop();
    how();
    this.cage.looked();
  }

  /** @param {import('../shapes').Stand} name */
  stand(name) {
    const before = this.camera.look;
    if (name === 'driver') {
      const eye = this.cage.eye();
      return this.change(() => this.camera.set({ ...standOf(name), eye, scale: this.camera.wide * 0.5 }));
    }
    const turned = { ...before, ...standOf(name), eye: null };
    return this.glide(before, this.filled(turned));
  }

  /** @param {string[]} [names] */
  fit(names) {
    const before = this.camera.look;
    if (before.eye) return this.stand('three-quarter');
    return this.glide(before, this.filled(before, names));
  }

  /** That look, brought near enough for the members to fill the picture. @param {Look} look @param {string[]} [names] @returns {Look} */
  filled(look, names) {
    const before = this.camera.look;
    this.camera.set(look);
    this.camera.set(this.camera.fitted(this.cage.points(names), names?.length ? 0.25 : 0.12));
    const filled = this.camera.look;
    this.camera.set(before);
    return filled;
  }

  /** @param {Look} from @param {Look} to */
  glide(from, to) {
    this.stop();
    if (from.eye || still()) return this.change(() => this.camera.set(to));
    const begun = performance.now();
    const step = (/** @type {number} */ now) => {
      const part = Math.min(Math.max((now - begun) / GLIDE, 0), 1);
      this.camera.set(part === 1 ? to : lookBetween(from, to, 1 - (1 - part) ** 3));
      this.cage.looked();
      if (part < 1) this.frame = requestAnimationFrame(step);
    };
    this.frame = requestAnimationFrame(step);
    return undefined;
  }

  /** Let a turn run out. @param {{x: number, y: number}} speed pixels a frame */
  drift(speed) {
    if (still() || Math.hypot(speed.x, speed.y) < 2) return;
    this.stop();
    let { x, y } = speed;
    const step = () => {
      [x, y] = [x * 0.86, y * 0.86];
      this.camera.turn(x, y);
      this.cage.looked();
      if (Math.hypot(x, y) > 0.4) this.frame = requestAnimationFrame(step);
    };
    this.frame = requestAnimationFrame(step);
  }
}
