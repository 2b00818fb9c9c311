// What is written over the picture: names, marks, arrows, distances, the axes in words. Text and plain lines,
// so that they stay sharp, can be read out and never lie on one another.

import { element } from '../say.js';
import { placeLabels, spread } from './labels.js';
import { add, times } from './vec.js';

/** @typedef {import('../types').Vec3} Vec3 */
/** @typedef {import('../shapes').Mark} Mark */
/** @typedef {import('./camera.js').Camera} Camera */
/** @typedef {{x: number, y: number}} Dot */
/** @typedef {{name: string, words: string, at: Vec3, kind: 'selected' | 'hovered' | 'name'}} Label */
/**
 * @typedef {object} Written what is to be written
 * @property {Label[]} labels the most important first
 * @property {Mark[]} marks
 * @property {import('../shapes').Arrow[]} arrows
 * @property {{a: Vec3, b: Vec3, words: string} | null} distance
 * @property {[Vec3, Vec3][]} [lines] thin lines, such as the axes of bends
 */

const SVG = 'http://www.w3.org/2000/svg';
const MARK = 26; // pixels across
const SIGNS = { wrong: '✗', doubt: '?', own: '◆', note: 'i' };
const AXES = /** @type {[string, Vec3][]} */ ([['back', [1, 0, 0]], ['across', [0, 1, 0]], ['up', [0, 0, 1]]]);

/** @param {string} tag @param {Record<string, string | number>} [attributes] @param {string} [words] */
export function drawn(tag, attributes = {}, words = '') {
  const made = document.createElementNS(SVG, tag);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, typeof value === 'number' ? value.toFixed(1) : value);
  if (words) made.textContent = words;
  return made;
}

export class Overlay {
  /** @param {HTMLElement} area */
  constructor(area) {
    this.svg = /** @type {SVGSVGElement} */ (drawn('svg', { class: 'view-lines', 'aria-hidden': 'true' }));
    this.layer = element('div', '', 'view-labels');
    this.markLayer = element('div', '', 'view-marks');
    area.append(this.svg, this.layer, this.markLayer);
    /** @type {Map<string, HTMLButtonElement>} */
    this.buttons = new Map();
    /** @type {(key: string, mark: Mark) => void} */
    this.onMark = () => {};
  }

  /** @param {Camera} camera @param {Written} written */
  draw(camera, written) {
    const thin = (written.lines ?? []).map(([a, b]) => [camera.spot(a), camera.spot(b)]).map(([a, b]) => drawn('line', { class: 'bend-axis', x1: a.x, y1: a.y, x2: b.x, y2: b.y }));
    const lines = [...thin, ...triad(camera), ...arrows(camera, written.arrows), ...(written.distance ? dimension(camera, written.distance) : [])];
    const taken = this.marks(camera, written.marks, lines);
    this.labels(camera, written.labels, taken, lines);
    this.svg.setAttribute('viewBox', `0 0 ${camera.wide} ${camera.high}`);
    this.svg.replaceChildren(...lines);
  }

  /** @param {Camera} camera @param {Mark[]} marks @param {Element[]} lines */
  marks(camera, marks, lines) {
    const spots = marks.map((mark) => camera.spot(mark.point));
    const places = spread(spots, MARK + 2);
    const gone = new Set(this.buttons.keys());
    const taken = marks.map((mark, i) => {
      gone.delete(mark.key);
      const button = this.button(mark);
      const [x, y] = [clamp(places[i].x, MARK / 2, camera.wide - MARK / 2), clamp(places[i].y, MARK / 2, camera.high - MARK / 2)];
      const seen = spots[i].depth > -Infinity;
      button.hidden = !seen;
      button.style.transform = `translate(${(x - MARK / 2).toFixed(1)}px, ${(y - MARK / 2).toFixed(1)}px)`;
      if (seen && Math.hypot(x - spots[i].x, y - spots[i].y) > MARK / 2) lines.push(drawn('line', { class: `leader ${mark.kind}`, x1: x, y1: y, x2: spots[i].x, y2: spots[i].y }));
      return { left: x - MARK / 2, right: x + MARK / 2, top: y - MARK / 2, bottom: y + MARK / 2 };
    });
    for (const key of gone) {
      this.buttons.get(key)?.remove();
      this.buttons.delete(key);
    }
    return taken;
  }

  /** @param {Mark} mark */
  button(mark) {
    let button = this.buttons.get(mark.key);
    if (!button) {
      button = element('button', '', 'mark');
      this.buttons.set(mark.key, button);
      this.markLayer.append(button);
    }
    button.className = `mark ${mark.kind}`;
    button.textContent = mark.sign ?? SIGNS[mark.kind];
    button.title = mark.words;
    button.setAttribute('aria-label', mark.words);
    button.onclick = () => this.onMark(mark.key, mark);
    return button;
  }

  /** @param {Camera} camera @param {Label[]} labels @param {import('./labels.js').Box[]} taken @param {Element[]} lines */
  labels(camera, labels, taken, lines) {
    const shown = labels.filter((label) => camera.spot(label.at).depth > -Infinity);
    const spots = shown.map((label) => camera.spot(label.at));
    const made = shown.map((label) => element('span', label.words, `label ${label.kind}`));
    this.layer.replaceChildren(...made);
    const wanted = made.map((one, i) => ({ x: spots[i].x, y: spots[i].y, wide: one.offsetWidth, high: one.offsetHeight, gap: 12 }));
    const boxes = placeLabels(wanted, { left: 4, top: 4, right: camera.wide - 4, bottom: camera.high - 4 }, taken);
    boxes.forEach((box, i) => {
      if (!box) return void made[i].remove();
      made[i].style.transform = `translate(${box.left.toFixed(1)}px, ${box.top.toFixed(1)}px)`;
      const [x, y] = [clamp(spots[i].x, box.left, box.right), clamp(spots[i].y, box.top, box.bottom)];
      lines.push(drawn('line', { class: `leader ${shown[i].kind}`, x1: x, y1: y, x2: spots[i].x, y2: spots[i].y }));
    });
  }

  dispose() {
    for (const one of [this.svg, this.layer, this.markLayer]) one.remove();
  }
}

const clamp = (/** @type {number} */ value, /** @type {number} */ low, /** @type {number} */ high) => Math.min(Math.max(value, low), high);

/** The axes in words, in the lower left corner. @param {Camera} camera @returns {Element[]} */
function triad(camera) {
  const from = { x: 104, y: camera.high - 70 };
  const { right, up } = camera.basis;
  return AXES.flatMap(([words, axis]) => {
    const way = { x: axis[0] * right[0] + axis[1] * right[1] + axis[2] * right[2], y: -(axis[0] * up[0] + axis[1] * up[1] + axis[2] * up[2]) };
    if (Math.hypot(way.x, way.y) < 0.2) return [];
    const to = { x: from.x + way.x * 40, y: from.y + way.y * 40 };
    const word = { x: from.x + way.x * 52, y: from.y + way.y * 52 + 5 };
    const anchor = way.x > 0.3 ? 'start' : way.x < -0.3 ? 'end' : 'middle';
    return [...arrow(from, to, 'axis', 9), drawn('text', { class: 'axis', x: word.x, y: word.y, 'text-anchor': anchor }, words)];
  });
}

/** @param {Dot} from @param {Dot} to @param {string} kind @param {number} head pixels @returns {Element[]} */
export function arrow(from, to, kind, head) {
  const turn = Math.atan2(to.y - from.y, to.x - from.x);
  const side = (/** @type {number} */ by) => `${(to.x - head * Math.cos(turn + by)).toFixed(1)},${(to.y - head * Math.sin(turn + by)).toFixed(1)}`;
  const inset = head * 0.7;
  const far = Math.hypot(to.x - from.x, to.y - from.y);
  const stop = far > inset ? { x: to.x - inset * Math.cos(turn), y: to.y - inset * Math.sin(turn) } : to;
  return [
    drawn('line', { class: kind, x1: from.x, y1: from.y, x2: stop.x, y2: stop.y }),
    drawn('polygon', { class: `${kind} head`, points: `${to.x.toFixed(1)},${to.y.toFixed(1)} ${side(0.32)} ${side(-0.32)}` }),
  ];
}

/** @param {Camera} camera @param {import('../shapes').Arrow[]} list @returns {Element[]} */
function arrows(camera, list) {
  return list.flatMap((one) => {
    const [from, to] = [camera.spot(one.from), camera.spot(one.to)];
    if (from.depth === -Infinity || to.depth === -Infinity) return [];
    const made = arrow(from, longEnough(from, to), 'push', 16);
    return one.words ? [...made, ...paperText(beyond(to, from, 22), one.words, 'push')] : made;
  });
}

/** An arrow seen end on still shows where it points to. @param {Dot} from @param {Dot} to */
const longEnough = (from, to) => (Math.hypot(to.x - from.x, to.y - from.y) < 4 ? { x: to.x + 4, y: to.y + 4 } : to);

/** @param {Dot} from @param {Dot} to @param {number} by @returns {Dot} a spot behind the arrow's tail */
function beyond(from, to, by) {
  const far = Math.hypot(to.x - from.x, to.y - from.y) || 1;
  return { x: to.x + ((to.x - from.x) / far) * by, y: to.y + ((to.y - from.y) / far) * by };
}

/** A dimension with its number. @param {Camera} camera @param {{a: Vec3, b: Vec3, words: string}} distance @returns {Element[]} */
function dimension(camera, { a, b, words }) {
  const middle = times(add(a, b), 0.5);
  const [from, to, centre] = [a, b, middle].map((point) => camera.spot(point));
  if ([from, to].some((spot) => spot.depth === -Infinity)) return [];
  return [
    ...arrow(centre, from, 'dimension', 12), ...arrow(centre, to, 'dimension', 12),
    drawn('circle', { class: 'dimension end', cx: from.x, cy: from.y, r: 3 }), drawn('circle', { class: 'dimension end', cx: to.x, cy: to.y, r: 3 }),
    ...paperText(centre, words, 'dimension'),
  ];
}

/** Words on a patch of paper. @param {Dot} at @param {string} words @param {string} kind @returns {Element[]} */
function paperText(at, words, kind) {
  const lines = words.split('\n');
  const wide = Math.max(...lines.map((line) => line.length)) * 7.4 + 16;
  const high = lines.length * 20 + 6;
  const patch = drawn('rect', { class: `${kind} patch`, x: at.x - wide / 2, y: at.y - high / 2, width: wide, height: high, rx: 3 });
  const texts = lines.map((line, i) => drawn('text', { class: kind, x: at.x, y: at.y - high / 2 + 18 + i * 20, 'text-anchor': 'middle' }, line));
  return [patch, ...texts];
}
