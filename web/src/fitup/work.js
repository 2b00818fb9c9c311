// What to do at a step: tubes to tack, welds to make, ticks of who did it, and moving a tube to another step.

import { button, choice, el, fill } from '../cage/dom.js';
import { sayName } from '../view/view.js';
import { BenchFirst } from './bench_first.js';
import { WayIn } from './passage.js';

/** @typedef {import('./types.js').StepData} StepData */
/** @typedef {import('./types.js').Tick} Tick */
/** @typedef {{tick: (what: string, done: string) => Promise<void>, withdraw: (uid: string) => Promise<void>, move: (member: string, step: number | null) => Promise<void>, select: (name: string) => void, canWrite: () => boolean}} Heard */

const DONE = /** @type {Record<string, string>} */ ({ tack: 'Tacked', weld: 'Welded', check: 'Checked', pull: 'Pulled', cut: 'Cut', close: 'Closed', paint: 'Painted' });
/** Ticks that no step asks for. */
const ALSO = ['pull', 'cut', 'close', 'paint'];
const PLACES = /** @type {Record<string, string>} */ ({ bench: 'on the bench', car: 'in the car', dropped: 'in the car, hung below its place', slid: 'in the car, foot tacks cut and slid back' });

export class WorkPanel {
  /** @param {HTMLElement} holder @param {Heard} heard */
  constructor(holder, heard) {
    this.holder = holder;
    this.heard = heard;
    this.open = false;
    this.wayIn = new WayIn();
    this.benchFirst = new BenchFirst();
    this.alsoOpen = false;
    /** What is typed and chosen stays while the rest is drawn again. */
    this.typed = '';
    this.kind = ALSO[0];
  }

  /** @param {StepData} data @param {import('./types.js').Steps} steps */
  show(data, steps) {
    const { step, ticks } = data;
    const ticked = (/** @type {string} */ what, /** @type {string} */ done) => ticks.filter((one) => one.what === what && one.done === done).at(-1);
    const list = (/** @type {string} */ title, /** @type {string[]} */ names, /** @type {string} */ done) => (names.length
      ? el('section', {}, el('h3', { text: title }), el('ul', { class: 'todo' }, names.map((name) => this.row(name, done, ticked(name, done)))))
      : null);
    const whole = ticked(`step ${step.number}`, 'check');
    fill(this.holder,
      el('p', { class: 'where' }, `Done ${PLACES[step.where] ?? step.where}.`, data.datum ? el('span', { class: 'quiet', text: ` Positions are told from ${sayName(data.datum)}.` }) : null),
      steps.broken.length ? el('div', { class: 'broken' }, el('p', { class: 'wrong-words', text: 'The order as you have it breaks this:' }), el('ul', {}, steps.broken.map((one) => el('li', { text: one.words })))) : null,
      step.notes.length ? el('ul', { class: 'step-notes' }, step.notes.map((text) => el('li', { text }))) : null,
      step.distance.length ? el('section', {}, el('h3', { text: 'Hold apart' }), el('ul', { class: 'step-notes', id: 'distance' }, step.distance.map((piece) => el('li', { text: piece.words })))) : null,
      steps.openings.length && steps.steps.find((one) => one.number === step.number - 1)?.where === 'bench' ? this.wayIn.panel(steps.openings) : null,
      step.number === 1 ? this.benchFirst.panel(steps.openings) : null,
      list('Tack', step.tack, 'tack'),
      list('Weld', step.weld, 'weld'),
      list('Fit', step.parts, 'weld'),
      this.also(data),
      el('section', { class: 'whole-step' }, el('h3', { text: 'Before the next step' }), el('p', { text: 'Read everything under Measure; pull until every end is in place; then tick.' }),
        whole
          ? el('p', {}, el('span', { class: 'tag pass', text: 'checked' }), ` by ${whole.by}, ${when(whole.taken)} `, button('Take it back', () => void this.heard.withdraw(whole.uid), { class: 'link' }))
          : button('The step is checked', () => void this.heard.tick(`step ${step.number}`, 'check'), { class: 'big main', id: 'check-step', disabled: !this.heard.canWrite() })),
      step.tack.length ? this.order(data, steps) : null);
  }

  /** What was pulled, cut, closed or painted: the plan's name of a tube, or the builder's own of a cavity. @param {StepData} data */
  also(data) {
    const what = el('input', { type: 'text', id: 'also-what', value: this.typed, oninput: () => { this.typed = what.value; }, list: 'also-names', maxlength: 200, autocomplete: 'off', 'data-typed': 'yes' });
    const done = choice(ALSO.map((kind) => /** @type {[string, string]} */ ([kind, DONE[kind]])), this.kind, (value) => { this.kind = value; }, { 'aria-label': 'What was done', id: 'also-done' });
    const act = () => {
      const name = what.value.trim();
      if (!name) return what.focus();
      this.typed = '';
      void this.heard.tick(name, done.value);
      return undefined;
    };
    const rows = data.ticks.filter((one) => ALSO.includes(one.done)).map((one) => el('li', {}, `${sayName(one.what)}: ${DONE[one.done].toLowerCase()} by ${one.by}, ${one.waits ? 'on its way' : when(one.taken)} `, button('Take it back', () => void this.heard.withdraw(one.uid), { class: 'link' })));
    return el('details', { class: 'also', open: this.alsoOpen || rows.length > 0, ontoggle: (/** @type {Event} */ event) => { this.alsoOpen = /** @type {HTMLDetailsElement} */ (event.target).open; } }, el('summary', { text: 'Pulled, cut, closed, painted …' }), el('ul', { class: 'todo' }, rows),
      el('label', { class: 'field' }, 'What', what), el('datalist', { id: 'also-names' }, data.present.map((name) => el('option', { value: sayName(name) }))),
      done, button('Tick it', act, { class: 'big', id: 'also-tick', disabled: !this.heard.canWrite() }));
  }

  /** @param {string} name @param {string} done @param {Tick | undefined} tick */
  row(name, done, tick) {
    const words = tick ? `${DONE[done]} by ${tick.by}${tick.waits ? ', on its way' : ''}` : DONE[done];
    const act = () => void (tick ? this.heard.withdraw(tick.uid) : this.heard.tick(name, done));
    return el('li', {}, button(sayName(name), () => this.heard.select(name), { class: 'link name' }),
      el('button', { type: 'button', class: 'done-tick', 'aria-pressed': String(Boolean(tick)), 'aria-label': `${sayName(name)}: ${words}`, disabled: !this.heard.canWrite(), onclick: act, title: tick ? when(tick.taken) : null }, tick ? `✓ ${words}` : words));
  }

  /** @param {StepData} data @param {import('./types.js').Steps} steps */
  order(data, steps) {
    const tacking = steps.steps.filter((one) => one.tack.length || one.notes.length).map((one) => /** @type {[string, string]} */ ([String(one.number), `${one.number} ${one.title}`]));
    const rows = data.step.tack.map((name) => {
      const moved = name in steps.moves;
      const select = choice(tacking, String(data.step.number), (value) => void this.heard.move(name, Number(value)), { 'aria-label': `Step at which ${sayName(name)} is tacked` });
      return el('li', {}, el('span', { text: sayName(name) }), select, moved ? button('Put it back', () => void this.heard.move(name, null), { class: 'link' }) : null);
    });
    return el('details', { class: 'reorder', open: this.open, ontoggle: (/** @type {Event} */ event) => { this.open = /** @type {HTMLDetailsElement} */ (event.target).open; } }, el('summary', { text: 'Tack at another step …' }), el('ul', { class: 'todo' }, rows));
  }
}

/** @param {string} taken ISO 8601 */
export function when(taken) {
  const at = new Date(taken);
  return Number.isNaN(at.getTime()) ? taken : at.toLocaleString(undefined, { dateStyle: 'medium', timeStyle: 'short' });
}
