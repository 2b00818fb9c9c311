// The cage at a step: what is there, what is tacked now, the tape that is held, and the arrows of what to pull.

import { makeView } from '../view/view.js';

/** @typedef {import('./types.js').StepData} StepData */
/** @typedef {import('./types.js').Square} Square */

export class Picture {
  /** @param {HTMLElement} holder */
  constructor(holder) {
    this.view = makeView(holder, { label: 'The cage at this step' });
    /** @type {import('../types').Scene | null} */
    this.scene = null;
    /** @type {StepData | null} */
    this.data = null;
  }

  /** @param {import('../types').Scene} scene */
  show(scene) {
    this.scene = scene;
    this.draw();
  }

  /** @param {StepData} data */
  step(data) {
    this.data = data;
    this.draw();
  }

  /** Tubes that go in later are only drawn faint. */
  draw() {
    if (!this.scene) return;
    const there = new Set(this.data?.present ?? this.scene.members.map((one) => one.name));
    const gone = (/** @type {{name: string}} */ one) => !there.has(one.name);
    this.view.show({
      ...this.scene,
      members: this.scene.members.filter((one) => there.has(one.name)),
      joints: this.scene.joints.filter((one) => there.has(one.branch) && one.mains.some((name) => there.has(name))),
      feet: this.scene.feet.filter((one) => !one.members.length || one.members.some((name) => there.has(name))),
      plates: [], gussets: this.scene.gussets.filter((one) => one.between.every((name) => there.has(name))),
    });
    this.view.under({ ...this.scene, members: this.scene.members.filter(gone) });
    this.view.show_parts({ people: false, scan: false, mounts: false });
    this.view.select({ members: this.data?.step.tack ?? [] });
  }

  /** @param {string} name */
  select(name) {
    const joint = this.scene?.joints.some((one) => one.name === name);
    this.view.select(joint ? { joints: [name] } : { members: [name] });
  }

  /** Only the tape or plumb that is read now. @param {{a: string, b: string, kind: string, words: string} | null} one */
  reading(one) {
    this.view.arrows(null);
    const [a, b] = [one?.a, one?.b].map((name) => this.data?.marks.find((mark) => mark.name === name) ?? null);
    this.view.marks([a, b].flatMap((mark, i) => (mark ? [{ point: mark.point, kind: /** @type {const} */ ('note'), sign: mark.letter || (i ? '2' : '1'), words: `${mark.said}${mark.face ? `, ${mark.face}` : ''}: ${mark.what}`, key: `mark ${i}` }] : [])));
    this.view.distance(one && a && b ? { a: a.point, b: b.point, words: one.words } : null);
    this.view.select({ members: [a, b].flatMap((mark) => (mark?.member ? [mark.member] : [])) });
  }

  /** @param {Square | null} found */
  pulls(found) {
    this.view.marks([]);
    this.view.distance(null);
    const out = found?.pull?.pulls.filter((one) => one.order) ?? [];
    this.view.arrows(out.length ? out.map(arrow) : null);
    this.view.select({ members: [...new Set(out.map((one) => one.member))] });
  }

  /** @param {string} mark @param {Square} found */
  point(mark, found) {
    const one = found.pull?.pulls.find((other) => other.mark === mark);
    if (!one) return;
    this.view.arrows([arrow(one)]);
    this.view.select({ members: [one.member] });
    this.view.fit([one.member]);
  }

  nothing() {
    this.view.marks([]);
    this.view.distance(null);
    this.view.arrows(null);
    this.view.select({ members: this.data?.step.tack ?? [] });
  }
}

/** @param {import('./types.js').PullRow} one */
const arrow = (one) => ({ from: one.start, to: one.stop, words: one.way.replaceAll(' and ', '\n') });
