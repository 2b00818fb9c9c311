// The picture of the cage: draws, picks, and says what was picked. It changes nothing by itself.

import { changed } from '../delta.js';
import { planUrl } from '../net.js';
import { element, say } from '../say.js';
import { Camera } from './camera.js';
import { Gaze } from './gaze.js';
import { gestures, KEY_WORDS } from './gestures.js';
import { Handle } from './handle.js';
import { legend } from './legend.js';
import { labelsOf } from './naming.js';
import { Overlay } from './overlay.js';
import { paintOf, useLight } from './paints.js';
import { anyPointAt, FINGER, MOUSE, pickOf } from './pick.js';
import { printable } from './print.js';
import { ramp } from './ramp.js';
import { fetchScan } from './scan.js';
import { makeStage } from './stage_choice.js';

export { sayName } from './naming.js';

/** @typedef {import('../types').Vec3} Vec3 */
/** @typedef {import('../types').Scene} Scene */
/** @typedef {import('../types').SceneMember} MemberShape */
/** @typedef {import('../shapes').Pick} Pick */
/** @typedef {import('./stage.js').TubeShape} TubeShape */

const DARK = matchMedia('screen and (prefers-color-scheme: dark)');

/** @returns {Scene} */
const nothing = () => ({
  number: 0, revision: null, title: '', units: 'mm', box: [[0, -700, 0], [2000, 700, 1300]], members: [], joints: [], feet: [], plates: [],
  gussets: [], couplings: [], lines: [], people: [], mounts: [], scan: null, stale: false,
});

export class View {
  /** @param {HTMLElement} holder @param {{label: string, flat?: boolean}} options */
  constructor(holder, { label, flat = false }) {
    this.holder = holder;
    this.area = element('div', '', 'view');
    this.area.tabIndex = 0;
    this.area.setAttribute('role', 'application');
    this.area.setAttribute('aria-label', label);
    this.area.setAttribute('aria-description', KEY_WORDS);
    holder.append(this.area);
    this.camera = new Camera();
    this.gaze = new Gaze(this.camera, { points: (names) => this.points(names), eye: () => this.eyeOfDriver(), looked: () => this.looked() });
    this.stage = makeStage(this.area, flat);
    this.overlay = new Overlay(this.area);
    this.handles = new Handle(this.area, this.camera, () => this.redraw());
    this.scene = nothing();
    /** @type {Scene | null} */
    this.other = null;
    /** @type {TubeShape[] | null} */
    this.moved = null;
    /** @type {{members: Set<string>, joints: Set<string>}} */
    this.selected = { members: new Set(), joints: new Set() };
    /** @type {Set<string>} */
    this.tried = new Set();
    /** @type {string | null} */
    this.hovered = null;
    /** @type {Map<string, import('../shapes').Shade> | null} */
    this.shades = null;
    this.parts = { lines: true, scan: true, people: true, feet: true, names: false, mounts: true };
    /** @type {{axis: 0 | 1 | 2, at: number, side: number} | null} */
    this.cut = null;
    /** @type {import('./overlay.js').Written} */
    this.written = { labels: [], marks: [], arrows: [], distance: null };
    /** Numbers and lines written over the picture. @type {{labels: import('./overlay.js').Label[], lines: [Vec3, Vec3][]}} */
    this.notes = { labels: [], lines: [] };
    /** How far the tubes are drawn apart, as a share of their distance from the middle. */
    this.spread = 0;
    /** @type {{scene: Scene, spread: number, shapes: TubeShape[]} | null} */
    this.parted = null;
    /** @type {{pick: ((pick: Pick | null) => void)[], hover: ((pick: Pick | null) => void)[], look: (() => void)[]}} */
    this.heard = { pick: [], hover: [], look: [] };
    this.frame = 0;
    this.fresh = true; // the whole cage is still to be brought into the picture
    this.stale = { tubes: true, paint: true };
    /** @type {HTMLElement | null} */
    this.legend = null;
    this.scanKey = '';
    /** Where the picture was pressed last. @type {{x: number, y: number} | null} */
    this.pressed = null;
    this.bind();
  }

  bind() {
    const { gaze, camera } = this;
    gestures(this.area, {
      turn: (dx, dy) => gaze.change(() => camera.turn(dx, dy)),
      move: (dx, dy) => gaze.change(() => camera.move(dx, dy)),
      zoom: (factor, x, y) => gaze.change(() => camera.zoom(factor, x, y)),
      release: (speed) => gaze.drift(speed),
      pick: (at, how) => this.picked(at, how),
      hover: (at) => this.hover(at),
      fit: () => this.fit([...this.selected.members]),
      stand: (name) => this.stand(name),
      leave: () => this.tell('pick', null),
    });
    this.watch = new ResizeObserver(() => this.resize());
    this.watch.observe(this.area);
    this.stopPrinting = printable(this.area, { draw: () => this.draw(), light: (day) => this.light(!day && DARK.matches), scale: () => (this.camera.look.eye ? null : this.camera.look.scale) });
    DARK.addEventListener('change', () => this.light(DARK.matches));
    if (DARK.matches) this.light(true);
    this.area.addEventListener('webglcontextrestored', () => this.redraw(), true);
    this.resize();
  }

  // ---- what is shown ----

  /** Show a scene. @param {Scene} scene */
  show(scene) {
    this.scene = scene;
    this.sceneChanged();
    if (this.fresh && this.area.clientWidth > 0) this.firstLook();
  }

  /** Show what an edit changed. @param {import('../types').Delta} delta */
  change(delta) {
    this.scene = changed(this.scene, delta);
    this.sceneChanged();
  }

  /** @param {boolean} dark */
  light(dark) {
    useLight(dark);
    this.stage.relight(this.scene);
    this.repaint();
  }

  sceneChanged() {
    this.stage.things(this.scene);
    void this.loadScan();
    this.remade();
  }

  remade() {
    this.stale.tubes = true;
    this.repaint();
  }

  repaint() {
    this.stale.paint = true;
    this.redraw();
  }

  async loadScan() {
    const { scan } = this.scene;
    const key = JSON.stringify(scan ?? null);
    if (key === this.scanKey) return;
    this.scanKey = key;
    if (!scan) return this.stage.scan(null);
    const mesh = await fetchScan(scan.url.startsWith('/') ? scan.url : planUrl(`/${scan.url}`));
    if (!mesh) return say('The scan cannot be shown.', 'wrong');
    if (key === this.scanKey) this.stage.scan(mesh);
    return this.redraw();
  }

  /** A second cage, drawn faint. @param {Scene | null} scene */
  under(scene) {
    this.other = scene;
    this.remade();
  }

  /** Bent centre lines instead of the members' own, which stay faint. @param {{name: string, points: Vec3[]}[] | null} list */
  lines(list) {
    const sizes = new Map(this.scene.members.map((one) => [one.name, one]));
    this.moved = list && list.map(({ name, points }) => ({ name, axis: points, od: sizes.get(name)?.od ?? 40, wall: sizes.get(name)?.wall ?? 2 }));
    this.showParts();
    this.remade();
  }

  /** @param {import('../shapes').Selection} selection */
  select({ members = [], joints = [] }) {
    this.selected = { members: new Set(members), joints: new Set(joints) };
    this.repaint();
  }

  /** Colour tubes by a result. @param {Map<string, import('../shapes').Shade> | null} map @param {import('./legend.js').LegendWords} [words] the numbers of the ramp */
  faces(map, words) {
    this.shades = map;
    this.legend?.remove();
    this.legend = null;
    if (map && words) this.area.append((this.legend = legend(words)));
    this.repaint();
  }

  /** @param {import('../shapes').Parts} parts */
  show_parts(parts) {
    Object.assign(this.parts, parts);
    this.showParts();
  }

  /** From the driver's eye nobody is seen, his own helmet least; sheets stay with the cage as built. */
  showParts() {
    this.stage.show({ ...this.parts, people: this.parts.people && !this.camera.look.eye, sheets: !this.moved && !this.spread, feet: this.parts.feet && !this.spread });
    this.redraw();
  }

  /** Cut away the near side of a plane. @param {import('../shapes').Cut} cut */
  section(cut) {
    const near = cut ? this.camera.basis.toward[cut.axis] : 0;
    this.cut = cut && { ...cut, side: this.cut?.axis === cut.axis ? this.cut.side : near > 0 ? -1 : 1 };
    this.stage.section(this.cut, this.cut?.side ?? 1);
    this.redraw();
  }

  /** Tubes that are being tried and not kept yet look otherwise. @param {string[]} names */
  trying(names) {
    if (names.join() === [...this.tried].join()) return;
    this.tried = new Set(names);
    this.repaint();
  }

  /** @param {import('../shapes').Mark[]} marks */
  marks(marks) {
    this.written.marks = marks;
    this.redraw();
  }

  /** Told the key of a mark that is pressed. @param {(key: string, mark: import('../shapes').Mark) => void} fn */
  onMark(fn) {
    this.overlay.onMark = fn;
  }

  /** @param {import('../shapes').Arrow[] | null} arrows */
  arrows(arrows) {
    this.written.arrows = arrows ?? [];
    this.redraw();
  }

  /** @param {{a: Vec3, b: Vec3, words: string} | null} distance */
  distance(distance) {
    this.written.distance = distance;
    this.redraw();
  }

  /** A handle to drag a place by. @param {import('./handle.js').Held | null} held @param {import('./handle.js').Heard} [heard] */
  handle(held, heard) {
    this.handles.set(held, heard);
    this.redraw();
  }

  // ---- where it is looked at from ----

  firstLook() {
    this.fresh = false;
    this.camera.set(this.camera.fitted(this.points()));
    this.looked();
  }

  /** @param {import('../shapes').Stand} name */
  stand(name) {
    this.gaze.stand(name);
    this.showParts();
  }

  /** Bring these members, or the whole cage, into the picture. @param {string[]} [names] */
  fit(names) {
    this.gaze.fit(names);
    this.showParts();
  }

  /** @returns {Vec3} */
  eyeOfDriver() {
    const { people, box } = this.scene;
    const driver = people.find((person) => person.name === 'driver');
    if (driver) return driver.helmet.centre;
    return [(box[0][0] + box[1][0]) / 2, box[0][1] * 0.5, box[1][2] * 0.75];
  }

  /** @param {string[]} [names] @returns {Vec3[]} */
  points(names) {
    const wanted = names?.length ? this.scene.members.filter((one) => names.includes(one.name)) : this.scene.members;
    const points = wanted.flatMap((one) => one.axis);
    return points.length ? points : this.scene.box;
  }

  looked() {
    for (const fn of this.heard.look) fn();
    this.redraw();
  }

  /** Told when the picture is turned, moved or zoomed. @param {() => void} fn */
  onLook(fn) {
    this.heard.look.push(fn);
  }

  // ---- what is picked ----

  /** Told what is picked; null where nothing is. @param {(pick: Pick | null) => void} fn */
  onPick(fn) {
    this.heard.pick.push(fn);
  }

  /** Told what the pointer is over; null where nothing. @param {(pick: Pick | null) => void} fn */
  onHover(fn) {
    this.heard.hover.push(fn);
  }

  /** @param {'pick' | 'hover'} what @param {Pick | null} pick */
  tell(what, pick) {
    for (const fn of this.heard[what]) fn(pick);
  }

  /** @param {{x: number, y: number}} at @param {{shift: boolean, finger: boolean}} how */
  picked(at, { shift, finger }) {
    this.area.focus({ preventScroll: true });
    this.pressed = at;
    this.tell('pick', this.pickAt(at, finger ? FINGER : MOUSE, shift));
  }

  /** A point of anything drawn where the picture was pressed last. @returns {Vec3 | null} */
  anyPressed() {
    return this.pressed && anyPointAt(this.camera, this.scene, this.pressed, FINGER, (point) => this.cutAway(point));
  }

  /** The point last pressed, as far from the eye as another point is; null after a key. @param {Vec3} near @returns {Vec3 | null} */
  pressedAt(near) {
    return this.pressed && this.camera.point(this.pressed.x, this.pressed.y, near);
  }

  /** What is at a spot of the picture. @param {{x: number, y: number}} at @param {number} room pixels @param {boolean} [shift] @returns {Pick | null} */
  pickAt(at, room, shift = false) {
    const hidden = (/** @type {Vec3} */ point) => this.cutAway(point);
    return pickOf(this.camera, { scene: this.scene, shapes: this.shapes(), feet: this.parts.feet, hidden }, at, room, shift);
  }

  /** @param {{x: number, y: number} | null} at */
  hover(at) {
    const pick = at && this.pickAt(at, MOUSE);
    this.area.classList.toggle('over', pick !== null);
    const name = pick?.member ?? null;
    this.tell('hover', pick);
    if (name === this.hovered) return;
    this.hovered = name;
    this.repaint();
  }

  // ---- drawing ----

  shapes() {
    if (this.moved || !this.spread) return this.moved ?? this.scene.members;
    if (this.parted?.scene !== this.scene || this.parted.spread !== this.spread) this.parted = { scene: this.scene, spread: this.spread, shapes: apart(this.scene, this.spread) };
    return this.parted.shapes;
  }

  /** Draw the tubes apart, each by that share of how far it lies from the middle. @param {number} share */
  apart(share) {
    this.spread = share;
    this.showParts();
    this.remade();
  }

  /** Numbers and lines over the picture. @param {View['notes']} notes */
  note(notes) {
    this.notes = notes;
    this.redraw();
  }

  redraw() {
    if (!this.frame) this.frame = requestAnimationFrame(() => this.draw());
  }

  draw() {
    cancelAnimationFrame(this.frame);
    this.frame = 0;
    if (this.stale.tubes) {
      this.stage.layer('own', this.shapes());
      this.stage.layer('under', this.other?.members ?? (this.moved ? this.scene.members : []));
    }
    if (this.stale.tubes || this.stale.paint) this.stage.paint((layer, shape) => this.paintFor(layer, shape));
    this.stale = { tubes: false, paint: false };
    this.stage.draw(this.camera);
    const marks = this.spread ? [] : this.written.marks.filter((mark) => !this.cutAway(mark.point));
    this.overlay.draw(this.camera, { ...this.written, marks, labels: this.labels(), lines: this.notes.lines.filter(([a]) => !this.cutAway(a)) });
    this.handles.draw();
  }

  /** @param {import('./stage.js').Layer} layer @param {TubeShape} shape */
  paintFor(layer, shape) {
    const shade = this.shades?.get(shape.name);
    const bolted = Boolean(/** @type {MemberShape} */ (shape).removable);
    return paintOf({ layer, selected: this.selected.members.has(shape.name), hovered: shape.name === this.hovered, shade: shade ? ramp(shade.value) : null, bolted, tried: this.tried.has(shape.name) });
  }

  labels() {
    const made = labelsOf(this.scene, this.shapes(), { selected: this.selected, hovered: this.hovered, shades: this.shades, all: this.parts.names });
    return [...made, ...this.notes.labels].filter((one) => one.kind !== 'name' || !this.cutAway(one.at));
  }

  /** Whether the section has cut the place away. @param {Vec3} point */
  cutAway(point) {
    return this.cut !== null && (point[this.cut.axis] - this.cut.at) * this.cut.side < 0;
  }

  resize() {
    const { clientWidth: wide, clientHeight: high } = this.area;
    if (!wide || !high) return;
    this.camera.size(wide, high);
    this.stage.resize(wide, high, devicePixelRatio || 1);
    if (this.fresh && this.scene.members.length) this.firstLook();
    this.draw(); // at once: a resized canvas is empty
  }

  /** Where a point shows on the page, for tests. @param {Vec3} point */
  where(point) {
    const box = this.area.getBoundingClientRect();
    const spot = this.camera.spot(point);
    return { x: box.left + this.area.clientLeft + spot.x, y: box.top + this.area.clientTop + spot.y };
  }

  /** What is shown, for tests. */
  snapshot() {
    return {
      members: this.shapes().map((one) => one.name),
      under: (this.other?.members ?? []).map((one) => one.name),
      camera: structuredClone(this.camera.look),
      selected: { members: [...this.selected.members], joints: [...this.selected.joints] },
      hovered: this.hovered,
      marks: this.written.marks.map((one) => one.key),
      section: this.cut && { axis: this.cut.axis, at: this.cut.at },
      handle: this.handles.held && { point: this.handles.held.point },
      parts: { ...this.parts },
      stage: this.stage.info(),
    };
  }

  dispose() {
    this.watch?.disconnect();
    this.stopPrinting?.();
    cancelAnimationFrame(this.frame);
    this.gaze.stop();
    this.stage.dispose();
    this.area.remove();
  }
}

/**
 * A picture in a holder that has a size of its own.
 * @param {HTMLElement} holder
 * @param {{label: string, flat?: boolean}} options label: what a screen reader says; flat: never use WebGL
 */
export function makeView(holder, options) {
  const view = new View(holder, options);
  bindAll(view);
  Object.assign(window, { cagewrightView: view });
  return view;
}

/** The tubes each pushed away from the middle. @param {Scene} scene @param {number} share @returns {TubeShape[]} */
function apart({ members, box }, share) {
  const middle = box[0].map((low, n) => (low + box[1][n]) / 2);
  return members.map((one) => {
    const mean = [0, 1, 2].map((n) => one.axis.reduce((sum, p) => sum + p[n], 0) / one.axis.length);
    const by = mean.map((v, n) => (v - middle[n]) * share);
    const put = (/** @type {Vec3} */ p) => /** @type {Vec3} */ (p.map((v, n) => v + by[n]));
    return { ...one, axis: one.axis.map(put), ends: one.ends.map((end) => ({ ...end, origin: put(end.origin) })) };
  });
}

/** Its methods may be handed on by themselves. @param {any} view */
function bindAll(view) {
  for (const name of Object.getOwnPropertyNames(View.prototype)) {
    if (name !== 'constructor') view[name] = view[name].bind(view);
  }
}
