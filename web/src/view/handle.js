// The handle by which a place is dragged along what it sits on, with a pointer or the arrow keys.

import { spot as spotOf } from './gestures.js';
import { arrow, drawn } from './overlay.js';
import { partNearest } from './pick.js';
import { along, between, length, sub, unit } from './vec.js';

/** @typedef {import('../types').Vec3} Vec3 */
/** @typedef {import('../shapes').Along} Along */
/** @typedef {import('./camera.js').Camera} Camera */
/** @typedef {{point: Vec3, along: Along, step?: number, words?: string, snap?: (point: Vec3) => Vec3}} Held step: mm a key moves it; snap: where a dragged point comes to rest */
/** @typedef {{onDrag?: (point: Vec3) => void, onDrop?: (point: Vec3) => void, onCancel?: () => void}} Heard */

const AXES = /** @type {Record<string, Vec3>} */ ({ back: [1, 0, 0], across: [0, 1, 0], up: [0, 0, 1] });
const REACH = 34; // pixels from the middle to the arrow tips

export class Handle {
  /** @param {HTMLElement} area @param {Camera} camera @param {() => void} redraw */
  constructor(area, camera, redraw) {
    this.area = area;
    this.camera = camera;
    this.redraw = redraw;
    /** @type {Held | null} */
    this.held = null;
    /** @type {Heard} */
    this.heard = {};
    /** @type {{x: number, y: number, point: Vec3, moved: boolean} | null} */
    this.grab = null;
    this.svg = drawn('svg', { class: 'view-handle', tabindex: '0', role: 'slider' });
    this.bind();
  }

  bind() {
    const on = (/** @type {string} */ type, /** @type {(event: any) => void} */ fn) => this.svg.addEventListener(type, fn);
    on('pointerdown', (event) => this.start(event));
    on('pointermove', (event) => this.drag(event));
    on('pointerup', () => this.drop());
    on('pointercancel', () => this.cancel());
    on('keydown', (event) => this.key(event));
  }

  /** @param {Held | null} held @param {Heard} [heard] */
  set(held, heard = {}) {
    this.heard = heard;
    if (this.grab && held) this.held = { ...held, point: this.held?.point ?? held.point };
    else {
      this.held = held;
      this.grab = null;
    }
    if (!held) return void this.svg.remove();
    if (!this.svg.isConnected) this.area.append(this.svg);
    this.redraw();
  }

  draw() {
    if (!this.held) return;
    const { point, words } = this.held;
    const at = this.camera.spot(point);
    const way = this.screenWay(point);
    const far = Math.hypot(way.x, way.y);
    const turn = { x: (way.x / (far || 1)) * REACH, y: (way.y / (far || 1)) * REACH };
    this.svg.toggleAttribute('data-end-on', far < 0.1 * at.scale);
    this.svg.setAttribute('aria-label', words ?? `Move ${wordOf(this.held.along)}`);
    this.svg.setAttribute('aria-valuenow', String(Math.round(this.amount(point))));
    this.svg.setAttribute('viewBox', '-48 -48 96 96');
    /** @type {SVGElement} */ (this.svg).style.transform = `translate(${(at.x - 48).toFixed(1)}px, ${(at.y - 48).toFixed(1)}px)`;
    const tips = far < 0.1 * at.scale ? [] : [...arrow({ x: 0, y: 0 }, turn, 'handle', 15), ...arrow({ x: 0, y: 0 }, { x: -turn.x, y: -turn.y }, 'handle', 15)];
    this.svg.replaceChildren(drawn('circle', { class: 'touch', cx: 0, cy: 0, r: 40 }), ...tips, drawn('circle', { class: 'knob', cx: 0, cy: 0, r: 9 }));
  }

  /** Pixels that the handle moves for a mm of travel. @param {Vec3} point */
  screenWay(point) {
    const way = this.wayAt(point);
    const [a, b] = [this.camera.spot(point), this.camera.spot(along(point, way, 10))];
    return { x: (b.x - a.x) / 10, y: (b.y - a.y) / 10 };
  }

  /** @param {Vec3} point @returns {Vec3} unit */
  wayAt(point) {
    const { along: on } = /** @type {Held} */ (this.held);
    if (typeof on === 'string') return AXES[on];
    return legAt(on, point).way;
  }

  /** @param {PointerEvent} event */
  start(event) {
    if (!this.held || event.button !== 0) return;
    event.stopPropagation();
    this.svg.setPointerCapture(event.pointerId);
    this.grab = { ...spotOf(this.area, event), point: this.held.point, moved: false };
  }

  /** @param {PointerEvent} event */
  drag(event) {
    if (!this.grab || !this.held) return;
    const at = spotOf(this.area, event);
    if (!this.grab.moved && Math.hypot(at.x - this.grab.x, at.y - this.grab.y) < 3) return;
    this.grab.moved = true;
    const to = this.dragged(at);
    this.move(event.altKey ? to : (this.held.snap?.(to) ?? to));
    this.heard.onDrag?.(this.held.point);
  }

  /** Where the pointer drags it to. @param {{x: number, y: number}} at @returns {Vec3} */
  dragged(at) {
    const { along: on } = /** @type {Held} */ (this.held);
    const { x, y, point } = /** @type {NonNullable<Handle['grab']>} */ (this.grab);
    const from = this.camera.spot(point);
    if (typeof on !== 'string') return this.onLine(on, { x: from.x + at.x - x, y: from.y + at.y - y });
    const way = this.screenWay(point);
    const square = Math.max(way.x ** 2 + way.y ** 2, (0.1 * from.scale) ** 2);
    return along(point, AXES[on], ((at.x - x) * way.x + (at.y - y) * way.y) / square);
  }

  /** @param {Vec3[]} line @param {{x: number, y: number}} at @returns {Vec3} */
  onLine(line, at) {
    const spots = line.map((point) => this.camera.spot(point));
    let best = line[0];
    let least = Infinity;
    for (let i = 1; i < line.length; i += 1) {
      const part = partNearest(spots[i - 1], spots[i], at);
      const [x, y] = [spots[i - 1].x + (spots[i].x - spots[i - 1].x) * part, spots[i - 1].y + (spots[i].y - spots[i - 1].y) * part];
      const gap = Math.hypot(x - at.x, y - at.y);
      if (gap < least) [least, best] = [gap, between(line[i - 1], line[i], part)];
    }
    return best;
  }

  /** @param {Vec3} point */
  move(point) {
    this.held = { .../** @type {Held} */ (this.held), point };
    this.redraw();
  }

  drop() {
    const { grab, held } = this;
    this.grab = null;
    if (grab?.moved && held) this.heard.onDrop?.(held.point);
  }

  cancel() {
    const { grab } = this;
    this.grab = null;
    if (!grab?.moved) return;
    this.move(grab.point);
    if (this.heard.onCancel) this.heard.onCancel();
    else this.heard.onDrag?.(grab.point);
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    if (!this.held || event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === 'Escape' && this.grab) return this.cancel();
    const sign = { ArrowUp: 1, ArrowRight: 1, ArrowDown: -1, ArrowLeft: -1, PageUp: 10, PageDown: -10 }[event.key];
    if (!sign) return;
    event.preventDefault();
    event.stopPropagation();
    this.move(this.stepped(sign * (this.held.step ?? 1) * (event.shiftKey ? 10 : 1)));
    this.heard.onDrop?.(this.held.point);
  }

  /** @param {number} by mm @returns {Vec3} */
  stepped(by) {
    const { point, along: on } = /** @type {Held} */ (this.held);
    if (typeof on === 'string') return along(point, AXES[on], by);
    return pointOn(on, this.amount(point) + by);
  }

  /** How far it stands along what it moves on, mm. @param {Vec3} point */
  amount(point) {
    const { along: on } = /** @type {Held} */ (this.held);
    if (typeof on === 'string') return point[on === 'back' ? 0 : on === 'across' ? 1 : 2];
    return legAt(on, point).at;
  }
}

/** @param {Along} on */
const wordOf = (on) => (typeof on === 'string' ? on : 'along the tube');

/** The leg of a line nearest to a point: its direction, and the point's distance along the line. @param {Vec3[]} line @param {Vec3} point */
function legAt(line, point) {
  let [least, at, run] = [Infinity, 0, 0];
  /** @type {Vec3} */
  let way = [0, 0, 1];
  for (let i = 1; i < line.length; i += 1) {
    const leg = sub(line[i], line[i - 1]);
    const long = length(leg) || 1e-9;
    const part = Math.min(Math.max(leg.reduce((sum, one, k) => sum + one * (point[k] - line[i - 1][k]), 0) / long ** 2, 0), 1);
    const gap = length(sub(between(line[i - 1], line[i], part), point));
    if (gap < least) [least, at, way] = [gap, run + part * long, unit(leg)];
    run += long;
  }
  return { way, at };
}

/** The point so far along a line. @param {Vec3[]} line @param {number} far mm @returns {Vec3} */
function pointOn(line, far) {
  let left = Math.max(far, 0);
  for (let i = 1; i < line.length; i += 1) {
    const long = length(sub(line[i], line[i - 1]));
    if (left <= long) return between(line[i - 1], line[i], left / (long || 1));
    left -= long;
  }
  return line[line.length - 1];
}
