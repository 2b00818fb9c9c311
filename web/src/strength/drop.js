// The car let fall on its cage: how it is let go, and what the drop did.

import { button, el, field, fill } from '../cage/dom.js';
import { curveOf, plotWords } from '../curves.js';
import { ask, planUrl, Refused, startWork, state } from '../net.js';
import { makePlot } from '../plot.js';
import { say } from '../say.js';
import { plainTable, tileList } from './tables.js';

/** @typedef {import('../types').DropShown} Drop */

/** @type {[string, string, string, string][]} */
const FIELDS = [
  ['height', 'Height', '600 mm', 'clear air from the ground to the cage’s lowest place'],
  ['roll', 'Roll', '45 deg', '0 lies on its roof, more than 0 lowers the left side'],
  ['pitch', 'Pitch', '10 deg', 'more than 0 lowers the nose'],
  ['speed', 'Speed', '0 m/s', 'over the ground'],
];
/** @type {[string, string][]} */
const WAYS = [['nose', 'the nose first'], ['tail', 'the tail first'], ['left', 'the left side first'], ['right', 'the right side first']];

export class DropPanel {
  /** @param {HTMLElement} holder @param {() => Record<string, string>} choices the pushes' assumptions */
  constructor(holder, choices) {
    this.choices = choices;
    /** @type {Map<string, HTMLInputElement>} */
    this.inputs = new Map(FIELDS.map(([key, , value]) => [key, el('input', { type: 'text', name: key, value })]));
    this.first = el('select', {}, WAYS.map(([value, text]) => el('option', { value, text })));
    this.run = el('div', {});
    this.result = el('div', { class: 'drop-result' });
    fill(holder,
      el('p', { class: 'small', text: 'A push is still and slow. A drop follows the car as a rigid body on its cage’s feet in time; only the cage touches the ground. It takes about a quarter of a minute.' }),
      FIELDS.map(([key, words, , hint]) => field(words, /** @type {HTMLInputElement} */ (this.inputs.get(key)), hint)),
      field('Over the ground', this.first), this.run, this.result);
    this.drawRun();
  }

  async begin() {
    const { drop, revision } = /** @type {{drop: Drop | null, revision: string}} */ (await ask('GET', planUrl('/strength/drop')));
    if (!drop) return;
    for (const [key, input] of this.inputs) if (drop.asked[key]) input.value = drop.asked[key];
    this.first.value = drop.asked.first || 'nose';
    this.show(drop, revision);
  }

  drawRun() {
    const go = button('Let it fall', () => void this.start(), { class: 'main', id: 'run-drop' });
    fill(this.run, el('div', { class: 'toolbar' }, go));
  }

  async start() {
    if (state()?.problems.length) return say('Put the plan’s text right first.', 'wrong');
    const asked = Object.fromEntries([...this.inputs].map(([key, input]) => [key, input.value]));
    const work = startWork('drop', { ...asked, first: this.first.value, choices: this.choices() });
    const words = el('p', { class: 'doing', role: 'status', text: 'Starting …' });
    const bar = el('progress', { max: 1, value: 0, 'aria-label': 'How far the drop is' });
    fill(this.run, el('div', { class: 'under-way' }, words, bar, button('Stop', () => void work.cancel(), { class: 'danger' })));
    work.onProgress((doing, share) => { words.textContent = doing; bar.value = share; });
    try {
      const { refused } = /** @type {{refused: string[]}} */ (await work.result);
      for (const one of refused) say(one, 'wrong');
      if (!refused.length) await this.begin();
    } catch (wrong) {
      if (!(wrong instanceof Refused)) throw wrong;
      say(wrong.body.status === 'cancelled' ? 'Stopped.' : wrong.message, wrong.body.status === 'cancelled' ? 'note' : 'wrong');
    }
    return this.drawRun();
  }

  /** @param {Drop} drop @param {string} revision */
  show(drop, revision) {
    const curve = el('div', { class: 'load-curve' });
    const alt = ['As it is let go, seen from before its nose', 'As it is let go, seen from its left'];
    fill(this.result,
      drop.revision === revision ? null : el('p', { class: 'tag doubt wide', text: `Worked out for an earlier state of the plan (${drop.revision}): run it again.` }),
      el('p', { class: 'drop-headline', text: `${drop.headline}.` }),
      drop.joints_words ? el('p', { class: 'tag doubt wide', text: drop.joints_words }) : null,
      el('p', { class: 'small', text: drop.how.words }),
      drop.pictures.map((_, i) => el('img', { class: 'drop-picture', alt: alt[i], src: `${planUrl(`/strength/drop/${i}`)}?when=${encodeURIComponent(drop.when)}` })),
      tileList(drop.figures), el('p', { text: drop.still.words }), curve,
      drop.tables.slice(1).map((table) => plainTable(table)),
      el('details', {}, el('summary', { text: 'Cautions and what was assumed' }), el('ul', {}, [...drop.cautions, ...drop.notes].map((text) => el('li', { text })))));
    makePlot(curve, plotWords('Force out of the ground over time', drop.curve)).show([curveOf('force out of the ground', drop.curve)]);
  }
}
