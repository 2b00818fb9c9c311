// Hold points: what stands open before each act that cannot be taken back, and who goes on regardless.

import { button, el, fill } from '../cage/dom.js';
import { planUrl } from '../net.js';

/** @typedef {import('../types').HoldAnswer} HoldAnswer */
/** @typedef {{goOn: (act: string, why: string) => Promise<void>, canWrite: () => boolean, query: () => string}} Heard */

export class HoldPanel {
  /** @param {HTMLElement} holder @param {Heard} heard */
  constructor(holder, heard) {
    this.holder = holder;
    this.heard = heard;
    /** Acts that are unfolded. @type {Set<string>} */
    this.unfolded = new Set();
  }

  /** @param {string} words */
  wait(words) {
    fill(this.holder, el('p', { role: 'status', text: words }));
  }

  /** @param {HoldAnswer[]} acts */
  show(acts) {
    const cautions = [...new Set(acts.flatMap((one) => one.cautions))];
    fill(this.holder, el('p', { text: 'What the record shows before each act that cannot be taken back.' }),
      acts.map((one) => this.act(one)), el('ul', { class: 'small' }, cautions.map((text) => el('li', { text }))));
  }

  /** @param {HoldAnswer} one */
  act(one) {
    const open = one.lines.filter((line) => line.line === null);
    const shown = one.lines.filter((line) => line.line !== null);
    const fold = (/** @type {Event} */ event) => { if (/** @type {HTMLDetailsElement} */ (event.target).open) this.unfolded.add(one.act); else this.unfolded.delete(one.act); };
    return el('details', { class: 'hold', 'data-act': one.act, open: this.unfolded.has(one.act), ontoggle: fold },
      el('summary', {}, `Before ${one.before}: `, el('b', { class: one.level === 'fine' ? null : 'doubt-words', text: one.headline })),
      open.length ? el('ul', { class: 'hold-open' }, open.map((line) => el('li', { text: `open: ${line.words}` }))) : null,
      one.strange.length ? el('ul', { class: 'hold-strange' }, one.strange.map((text) => el('li', { text }))) : null,
      one.unreached.length ? el('section', {}, el('h3', { text: 'No torch reaches it afterwards' }), el('ul', {}, one.unreached.map((text) => el('li', { text })))) : null,
      shown.length ? el('details', {}, el('summary', { text: `${shown.length} in the record` }), el('ul', { class: 'small' }, shown.map((line) => el('li', { text: `${line.words}, line ${line.line}` })))) : null,
      el('p', { class: 'quiet' }, `${one.against}. `, el('a', { href: planUrl(`/fitup/hold/${one.act}.pdf${this.heard.query()}`), target: '_blank', rel: 'noopener', text: 'On paper, with boxes to tick' })),
      open.length ? this.regardless(one) : null);
  }

  /** @param {HoldAnswer} one */
  regardless(one) {
    const why = el('input', { type: 'text', maxlength: 1000, autocomplete: 'off', 'data-typed': 'yes' });
    const act = () => void (why.value.trim() ? this.heard.goOn(one.act, why.value.trim()) : why.focus());
    return el('div', { class: 'hold-regardless' }, el('label', { class: 'field' }, 'Reason to go on with lines open', why),
      button('Go on regardless, by name', act, { class: 'big', disabled: !this.heard.canWrite() }));
  }
}
