// The cage under a push in the picture: bent lines, uses as colours, hinges in order, what is left to people.

import { button, choice, el, fill } from '../cage/dom.js';
import { onAxis } from '../curves.js';
import { sayName, makeView } from '../view/view.js';
import { levelOf, linesAt, mostUse, placeOn, roomAt, toolAt, usesAt } from './moments.js';
import { numbered } from './result.js';

/** @typedef {import('./result.js').Result} Result */

const STANDS = /** @type {[import('../shapes').Stand, string][]} */ ([['three-quarter', 'Corner'], ['left', 'Left'], ['front', 'Front'], ['rear', 'Rear'], ['above', 'Above'], ['driver', 'Driver']]);
const legendTo = (/** @type {number} */ most) => ({ title: 'Share of the tube’s section used so far', ticks: [0, 0.5, 1, ...(most > 1.005 ? [most] : [])].map((use) => ({ at: levelOf(use, most), words: use > 1 ? use.toFixed(2) : String(use) })) });
const NUMBERS = 14; // of what gave last, so many are marked in the picture

export class Picture {
  /** @param {HTMLElement} holder @param {HTMLElement} tools @param {{member: (name: string | null) => void, travel: (mm: number) => void}} heard */
  constructor(holder, tools, heard) {
    this.view = makeView(holder, { label: 'The cage under the push' });
    this.heard = heard;
    /** @type {Result | null} */
    this.result = null;
    this.mm = 0;
    this.stretch = 1;
    this.coloured = true;
    this.view.onPick((pick) => heard.member(pick?.member ?? null));
    this.view.onMark((key) => heard.travel(Number(key.split(' ')[1])));
    this.drawTools(tools);
  }

  /** @param {HTMLElement} tools */
  drawTools(tools) {
    const stands = choice([...STANDS], 'three-quarter', (value) => this.view.stand(/** @type {import('../shapes').Stand} */ (value)), { 'aria-label': 'Seen from' });
    const stretch = choice([['1', 'bent as it is'], ['3', 'bent 3 times as far'], ['10', 'bent 10 times as far']], '1', (value) => { this.stretch = Number(value); this.at(this.mm); }, { 'aria-label': 'How far the bend is drawn' });
    const colours = button('Colours', () => {
      this.coloured = !this.coloured;
      colours.setAttribute('aria-pressed', String(this.coloured));
      this.at(this.mm);
    }, { 'aria-pressed': 'true', title: 'Colour each tube by the share of its section that is used' });
    fill(tools, el('label', {}, el('span', { class: 'visually-hidden', text: 'Seen from' }), stands), button('Fit', () => this.view.fit(), { title: 'The whole cage (F)' }), colours, el('label', {}, el('span', { class: 'visually-hidden', text: 'Bend' }), stretch));
  }

  /** @param {import('../types').Scene} scene */
  scene(scene) {
    this.view.show(scene);
    this.view.show_parts({ scan: false, mounts: false });
  }

  /** @param {Result | null} result */
  show(result) {
    this.result = result;
    if (result) return;
    this.view.lines(null);
    this.view.faces(null);
    this.view.marks([]);
    this.view.arrows(null);
    this.view.distance(null);
  }

  /** @param {number} mm */
  at(mm) {
    this.mm = mm;
    const result = this.result;
    if (!result) return;
    const lines = linesAt(result.moments, mm, this.stretch);
    this.view.lines(lines);
    this.view.faces(this.coloured ? this.shades(result, mm) : null, legendTo(mostUse(result.moments)));
    this.view.marks(marksAt(result, lines, mm));
    const tool = this.stretch === 1 ? toolAt(result.moments, mm) : null;
    this.view.arrows(tool && [{ ...tool }]);
    this.view.distance(this.stretch === 1 ? gapAt(result, mm) : null);
  }

  /** @param {Result} result @param {number} mm */
  shades(result, mm) {
    const [uses, most] = [usesAt(result.moments, mm), mostUse(result.moments)];
    return new Map([...uses].map(([name, use]) => [name, { value: levelOf(use, most), words: `${use.toFixed(2)} used` }]));
  }

  /** @param {string | null} name */
  select(name) {
    this.view.select({ members: name ? [name] : [] });
  }
}

/** What has given by then, the last ones, numbered as in the list. @param {Result} result @param {import('./moments.js').Line[]} lines @param {number} mm @returns {import('../shapes').Mark[]} */
function marksAt(result, lines, mm) {
  return numbered(result).filter((one) => (one.travel.value ?? 0) <= mm + 1e-6).slice(-NUMBERS).flatMap((one) => {
    const point = placeOn(lines, one.at);
    return point ? [{ point, kind: /** @type {const} */ ('wrong'), sign: String(one.number), words: `${one.number}: ${one.words}`, key: `${one.number} ${one.travel.value}` }] : [];
  });
}

/** @param {Result} result @param {number} mm */
function gapAt(result, mm) {
  const room = roomAt(result.moments, mm);
  if (!room?.spot || room.gap > 400) return null;
  const words = room.gap <= 0 ? `${sayName(room.by)} in the ${room.to}` : `${onAxis(result.curve.x, room.gap)} from the ${room.to} to ${sayName(room.by)}`;
  return { a: room.spot[0], b: room.spot[1], words };
}
