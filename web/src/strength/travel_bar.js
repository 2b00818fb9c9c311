// The slider under the picture: how far the push is, its load, and what is left to people; it can be played.

import { button, el, fill } from '../cage/dom.js';
import { onAxis } from '../curves.js';
import { loadAt, roomAt } from './moments.js';

const PLAYED = 5000; // ms for the whole travel
const still = () => matchMedia('(prefers-reduced-motion: reduce)').matches;

export class TravelBar {
  /** @param {HTMLElement} holder @param {(mm: number) => void} heard */
  constructor(holder, heard) {
    this.holder = holder;
    this.heard = heard;
    this.top = 0;
    this.mm = 0;
    this.frame = 0;
    this.slider = el('input', { type: 'range', min: 0, max: 1, step: 'any', id: 'travel-slider', 'aria-label': 'Travel of the push', oninput: () => this.take(Number(this.slider.value)), onkeydown: (/** @type {KeyboardEvent} */ event) => this.key(event) });
    this.play = button('Play', () => this.turn(), { class: 'play' });
    this.said = el('output', { class: 'travel-said' });
    fill(holder, this.play, this.slider, this.said);
  }

  /** @param {import('./result.js').Result | null} result */
  show(result) {
    this.stop();
    this.result = result;
    const moments = result?.moments;
    this.holder.hidden = !moments;
    this.top = moments?.travel[moments.travel.length - 1] ?? 0;
    this.slider.max = String(this.top || 1);
    this.play.hidden = still();
  }

  /** Put it at that travel without telling. @param {number} mm */
  at(mm) {
    this.mm = Math.min(Math.max(mm, 0), this.top);
    this.slider.value = String(this.mm);
    if (!this.result) return;
    const words = sayings(this.result, this.mm);
    fill(this.said, words.map((text) => el('span', { text })));
    this.slider.setAttribute('aria-valuetext', words.join(', '));
  }

  /** @param {number} mm */
  take(mm) {
    this.stop();
    this.heard(mm);
  }

  /** Arrow keys go a hundredth of the way. @param {KeyboardEvent} event */
  key(event) {
    const way = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageDown: -10, PageUp: 10 }[event.key];
    if (!way) return;
    event.preventDefault();
    this.take(this.mm + (way * this.top) / 100);
  }

  turn() {
    if (this.frame) return this.stop();
    if (this.mm >= this.top - 1e-6) this.heard(0);
    const from = this.mm;
    const begun = performance.now();
    this.play.textContent = 'Pause';
    const step = (/** @type {number} */ now) => {
      const mm = from + (Math.max(now - begun, 0) / PLAYED) * this.top;
      this.heard(Math.min(mm, this.top));
      this.frame = mm < this.top ? requestAnimationFrame(step) : 0;
      if (!this.frame) this.play.textContent = 'Play';
    };
    this.frame = requestAnimationFrame(step);
    return undefined;
  }

  stop() {
    cancelAnimationFrame(this.frame);
    this.frame = 0;
    this.play.textContent = 'Play';
  }
}

/** @param {import('./result.js').Result} result @param {number} mm */
function sayings({ moments, curve }, mm) {
  const room = roomAt(moments, mm);
  const left = room && (room.gap <= 0 ? `in the ${room.to}` : `${onAxis(curve.x, room.gap)} to the ${room.to}`);
  return [onAxis(curve.x, mm), onAxis(curve.y, loadAt(moments, mm)), ...(left ? [left] : [])];
}
