// What is in a tube's way: looked at when it is asked for, as every way round it is built and checked; then kept.

import '../papers/papers.css';
import { choice, el, fill } from '../cage/dom.js';
import { ask, planUrl, Refused } from '../net.js';
import { makeBar } from '../papers/make_bar.js';
import { plainTable } from '../strength/tables.js';
import { sayName } from '../view/view.js';

/** @typedef {import('../types').ObstaclesAnswer} ObstaclesAnswer */
/** @typedef {{found: ObstaclesAnswer | null, of: string, revision: string, tubes: string[], pushes: string[]}} Kept */

/** The pane, filled with what was found last. */
export function obstaclesPanel() {
  let tube = '';
  let push = '';
  const asked = el('div', { class: 'obstacles-asked' });
  const said = el('div', { 'aria-live': 'polite' });
  const bar = makeBar({ kind: 'obstacles', words: 'Look at the ways round', stop: 'Stop', done: 'The ways round are told below.', asked: () => ({ tube, pushes: push ? [push] : [] }), onDone: () => void tell() });
  const holder = el('section', { class: 'panel obstacles', 'aria-label': 'In the way' }, el('h2', { text: 'What is in a tube’s way' }),
    el('p', { class: 'small', text: 'Of a scan, or of marked metal whose sizes were typed: beside each the tube moved in, carried over on a bridge, or a cut, and what each costs. Every way is built and checked, which takes some seconds each.' }), asked, bar.holder, said);

  async function tell() {
    try {
      const kept = /** @type {Kept} */ (await ask('GET', planUrl('/shell/obstacles'), undefined, { quiet: true }));
      fill(asked,
        el('label', { class: 'field' }, 'In the way of', choice([['', 'any tube'], ...kept.tubes.map((name) => /** @type {[string, string]} */ ([name, sayName(name)]))], tube, (value) => { tube = value; }, { id: 'obstacles-tube' })),
        el('label', { class: 'field' }, 'Push the ways side by side', choice([['', 'no'], ...kept.pushes.map((name) => /** @type {[string, string]} */ ([name, name]))], push, (value) => { push = value; }, { id: 'obstacles-push' })));
      if (kept.found) show(kept.found, kept);
    } catch (wrong) {
      if (!(wrong instanceof Refused)) throw wrong;
      fill(said, el('p', { class: 'wrong-words', text: wrong.message }));
    }
  }

  /** @param {ObstaclesAnswer} found @param {Kept} kept */
  function show(found, { of, revision }) {
    fill(said,
      of === revision ? null : el('p', { class: 'tag doubt wide', text: `Looked at in an earlier state of the plan (${of}): look again.` }),
      el('p', { class: 'obstacles-headline', text: found.headline }),
      found.obstacles.map((one) => plainTable(one.table)),
      found.pushed.flatMap((study) => [...study.tables.map((table) => plainTable(table)), ...study.notes.map((text) => el('p', { class: 'small', text }))]),
      [...found.notes, ...found.cautions].map((text) => el('p', { class: 'small', text })),
      el('p', {}, el('a', { href: planUrl('/shell/obstacles.pdf'), target: '_blank', rel: 'noopener', text: 'On paper (PDF)' })));
  }

  void tell();
  return holder;
}
