// One reading at a time in big letters, for a gloved hand, and the table of them all.

import { inchKeypad } from './inch_keypad.js';
import { button, choice, el, fill } from '../cage/dom.js';
import { units } from '../frame.js';
import { parseLength } from '../numbers.js';
import { scrolling } from '../strength/tables.js';
import { sayName } from '../view/view.js';
import { keyOf, kindWords, matched, nextOpen, nudged } from './readings.js';

/** @typedef {import('./types.js').StepData} StepData */
/** @typedef {import('./types.js').Wanted} Wanted */
/** @typedef {import('./types.js').Taken} Taken */
/** @typedef {{keep: (reading: Record<string, string>) => Promise<void>, withdraw: (uid: string) => Promise<void>, show: (one: {a: string, b: string, kind: string, words: string} | null) => void, choose: () => void, canWrite: () => boolean}} Heard */

const STEP = { mm: 1, in: 0.0625 };

export class Measure {
  /** @param {HTMLElement} holder @param {Heard} heard */
  constructor(holder, heard) {
    this.holder = holder;
    this.heard = heard;
    /** @type {StepData | null} */
    this.data = null;
    this.number = 1;
    this.typed = '';
    this.waiting = false;
    /** What is asked about a reading that is far off, before it is kept. */
    this.question = '';
    /** @type {Wanted | null} */
    this.extra = null;
  }

  /** @param {StepData} data @param {boolean} fresh another step than before */
  show(data, fresh) {
    this.data = data;
    if (fresh) {
      this.extra = null;
      this.number = nextOpen(this.rows(), 0);
      this.typed = '';
    }
    this.draw();
  }

  rows() {
    return matched(this.data?.readings ?? [], this.data?.taken ?? []).rows;
  }

  /** Take another reading than those listed. @param {Wanted} one */
  take(one) {
    const listed = this.data?.readings?.find((other) => keyOf(other) === keyOf(one));
    this.extra = listed ? null : one;
    if (listed) this.number = listed.number;
    this.typed = '';
    this.question = '';
    this.draw();
    this.focus();
  }

  draw() {
    if (!this.data) return;
    if (!this.data.readings) return fill(this.holder, this.choosing());
    if (!this.data.readings.length) return fill(this.holder, el('p', { class: 'quiet', text: 'There is nothing to read at this step.' }));
    const row = this.current();
    const typing = document.activeElement?.id === 'reading';
    fill(this.holder, row ? this.card(row.wanted, row.taken) : null, this.table(), this.other(), this.marks());
    if (typing) this.focus();
    this.tell();
    return undefined;
  }

  focus() {
    const input = /** @type {HTMLInputElement | null} */ (this.holder.querySelector('#reading'));
    input?.focus();
    input?.setSelectionRange(input.value.length, input.value.length);
  }

  current() {
    if (this.extra) return { wanted: this.extra, taken: this.data?.taken.filter((one) => keyOf(one) === keyOf(/** @type {Wanted} */ (this.extra))).at(-1) ?? null };
    return this.rows().find((row) => row.wanted.number === this.number) ?? this.rows()[0];
  }

  tell() {
    const row = this.current();
    this.heard.show(row ? { a: row.wanted.a, b: row.wanted.b, kind: row.wanted.kind, words: row.wanted.planned?.said ?? '' } : null);
  }

  choosing() {
    return this.waiting
      ? el('p', { role: 'status', text: 'Choosing which readings sharpen the answer most …' })
      : el('div', {}, el('p', { text: 'Everything is tacked now, so every tube is read again. Choosing the readings takes some seconds.' }), button('Choose the readings', () => { this.waiting = true; this.draw(); this.heard.choose(); }, { class: 'main big' }));
  }

  /** @param {Wanted} wanted @param {Taken | null} taken */
  card(wanted, taken) {
    const many = this.data?.readings?.length ?? 0;
    const lean = wanted.kind === 'lean';
    const input = el('input', { type: 'text', inputmode: units() !== 'mm' && !lean ? 'text' : 'decimal', autocomplete: 'off', value: this.typed, 'data-typed': 'yes', id: 'reading', 'aria-describedby': 'reading-plan', oninput: () => { this.typed = input.value; this.ask(''); }, onkeydown: (/** @type {KeyboardEvent} */ event) => { if (event.key === 'Enter') { event.preventDefault(); void this.keep(wanted); } } });
    const by = lean ? 0.1 : STEP[units() === 'mm' ? 'mm' : 'in'];
    const nudge = (/** @type {number} */ way) => button(way < 0 ? '−' : '+', () => this.nudge(wanted, taken, way * by), { class: 'big nudge', 'aria-label': way < 0 ? 'A little less' : 'A little more' });
    const off = !this.heard.canWrite();
    return el('section', { class: 'reading-card', 'aria-labelledby': 'reading-head' },
      el('p', { class: 'reading-count quiet' }, this.extra ? 'One more reading' : `Reading ${wanted.number} of ${many}`, wanted.why ? el('span', { text: ` · ${wanted.why}` }) : null),
      el('h3', { id: 'reading-head', text: wanted.how }),
      el('p', { class: 'reading-plan', id: 'reading-plan' }, 'The plan has ', el('b', { text: wanted.planned?.said ?? 'no number for it here' }), wanted.within ? `, within ${wanted.within.said}` : ''),
      el('div', { class: 'reading-entry' }, nudge(-1), el('label', { class: 'big-field' }, el('span', { text: `What it says${lean ? ', degrees' : units() !== 'mm' ? ', inches' : ', mm'}` }), input), nudge(1)),
      units() !== 'mm' && !lean ? inchKeypad(input) : null,
      taken ? this.said(wanted, taken) : null,
      this.question ? el('div', { class: 'reading-question', role: 'alert' }, el('p', { class: 'doubt-words', text: this.question }), button('It is right: keep it', () => void this.keep(wanted, true), { class: 'big', id: 'keep-far' })) : null,
      el('div', { class: 'reading-go' },
        button('Back', () => this.go(-1), { class: 'big', disabled: this.extra !== null }),
        button('Keep it', () => void this.keep(wanted), { class: 'big main', id: 'keep-reading', disabled: off }),
        button('Next', () => this.go(1), { class: 'big' })),
      off ? el('p', { class: 'quiet', text: 'Start the job’s record above to keep readings.' }) : null);
  }

  /** @param {Wanted} wanted @param {Taken} taken */
  said(wanted, taken) {
    return el('p', { class: 'reading-said' }, `Read: ${taken.says} by ${taken.by} `, verdict(taken), taken.also ? el('span', { class: 'doubt-words', text: `${taken.also}. ` }) : null, button('Take it back', () => void this.heard.withdraw(taken.uid), { class: 'link', disabled: !this.heard.canWrite() }));
  }

  /** @param {Wanted} wanted @param {Taken | null} taken @param {number} by */
  nudge(wanted, taken, by) {
    this.typed = nudged(this.typed.trim() || taken?.start || wanted.start, by);
    const input = /** @type {HTMLInputElement | null} */ (this.holder.querySelector('#reading'));
    if (input) input.value = this.typed;
  }

  /** @param {number} way */
  go(way) {
    const many = this.data?.readings?.length ?? 1;
    if (this.extra) this.extra = null;
    else this.number = ((this.number - 1 + way + many) % many) + 1;
    this.typed = '';
    this.question = '';
    this.draw();
  }

  /** @param {string} question */
  ask(question) {
    if (question === this.question) return;
    this.question = question;
    this.draw();
  }

  /** @param {Wanted} wanted @param {boolean} [sure] the builder was asked, and says so */
  async keep(wanted, sure = false) {
    const says = this.typed.trim();
    if (!says || !this.heard.canWrite()) return this.focus();
    const question = sure ? '' : farOff(wanted, says);
    if (question) return this.ask(question);
    this.question = '';
    this.typed = ''; // the next one can be typed while this one is written
    this.extra = null;
    this.number = nextOpen(this.rows(), this.number);
    this.draw();
    this.focus();
    return this.heard.keep({ kind: wanted.kind, a: wanted.a, b: wanted.b, axis: wanted.axis, says });
  }

  table() {
    const { rows, more } = matched(this.data?.readings ?? [], this.data?.taken ?? []);
    const read = rows.filter((row) => row.taken?.used).length;
    const line = (/** @type {Wanted} */ one, /** @type {Taken | null} */ taken) => el('tr', { 'aria-selected': String(!this.extra && one.number === this.number) },
      el('td', { class: 'numbers' }, button(String(one.number), () => { this.extra = null; this.number = one.number; this.typed = ''; this.draw(); this.holder.scrollIntoView({ block: 'start' }); }, { class: 'link', 'aria-label': `Reading ${one.number}: ${one.how}` })),
      el('td', {}, kindWords(one), el('span', { class: 'ends', text: one.short })),
      el('td', { class: 'numbers', text: one.planned?.said ?? '–' }), el('td', { class: 'numbers' }, taken ? taken.says : '–', taken ? el('br') : null, taken ? verdict(taken) : null));
    const table = el('table', { class: 'plain readings' }, el('caption', { text: `${read} of ${rows.length} are read` }),
      el('thead', {}, el('tr', {}, ['No', 'what', 'plan', 'read'].map((head, i) => el('th', { scope: 'col', class: i === 1 ? null : 'numbers', text: head })))),
      el('tbody', {}, rows.map((row) => line(row.wanted, row.taken)), more.map((one) => el('tr', {}, el('td', { class: 'numbers', text: '+' }), el('td', {}, kindWords(one), el('span', { class: 'ends', text: [one.a, one.b].filter(Boolean).map(sayName).join(' → ') })), el('td', { class: 'numbers', text: '–' }), el('td', { class: 'numbers' }, one.says, one.used ? null : el('span', { class: 'tag doubt', text: 'not used' }), button('Take it back', () => void this.heard.withdraw(one.uid), { class: 'link', disabled: !this.heard.canWrite() }))))));
    return scrolling(table, 'Readings of this step');
  }

  /** A reading between marks of the builder's own choice. */
  other() {
    const names = this.data?.mark_names ?? [];
    const list = el('datalist', { id: 'mark-names' }, names.map((name) => el('option', { value: name, label: sayName(name) })));
    const kind = choice([['tape', 'a tape between two marks'], ['level', 'how much the second is above the first'], ['lean', 'lean of the line from the first up to the second'], ['place', 'where one mark is']], 'tape', () => {}, { 'aria-label': 'What is read' });
    const axis = choice([['', 'no way'], ['back', 'back'], ['across', 'across'], ['up', 'up']], '', () => {}, { 'aria-label': 'Which way' });
    const mark = (/** @type {string} */ words) => el('input', { list: 'mark-names', 'aria-label': words, placeholder: words, autocomplete: 'off' });
    const [a, b] = [mark('first mark'), mark('second mark')];
    return el('details', { class: 'other-reading' }, el('summary', { text: 'Another reading …' }), list, el('div', { class: 'two' }, kind, axis, a, b),
      button('Take this one', () => this.take({ number: 0, kind: /** @type {Wanted['kind']} */ (kind.value), a: a.value.trim(), b: kind.value === 'place' ? '' : b.value.trim(), axis: axis.value, how: [kind.value, a.value, b.value].filter(Boolean).join(' '), short: '', planned: null, within: null, ask: null, leaves: null, start: '', why: '' }), {}));
  }

  marks() {
    const rows = (this.data?.marks ?? []).map((one) => el('tr', {}, el('td', { text: one.letter }), el('th', { scope: 'row', text: one.said }), el('td', { class: 'numbers', text: one.along?.said ?? '–' }), el('td', { text: one.face || '–' }), el('td', { text: one.what })));
    const table = el('table', { class: 'plain' }, el('caption', { text: 'Marks to punch' }), el('thead', {}, el('tr', {}, ['', 'mark', 'along the tube', 'side', 'what stands there'].map((head, i) => el('th', { scope: 'col', class: i === 2 ? 'numbers' : null, text: head })))), el('tbody', {}, rows));
    return el('details', { class: 'marks-table' }, el('summary', { text: `Marks of this step (${rows.length})` }), scrolling(table, 'Marks to punch'), this.sure());
  }

  /** How sure each tube will be, and what one reading more would bring. */
  sure() {
    const sure = this.data?.sure ?? [];
    const more = (this.data?.more ?? []).filter((one) => one.leaves);
    return el('div', { class: 'small' },
      sure.length ? el('p', { text: `Once all are read: ${sure.map((one) => one.words).join(', ')}.` }) : null,
      more.length ? el('p', { text: `One more would leave: ${more.map((one) => `${one.how}: ± ${one.leaves?.said}`).join('; ')}.` }) : null);
  }
}

/** What to ask of a reading that is far from the plan; empty where it is not. @param {Wanted} wanted @param {string} says */
function farOff(wanted, says) {
  if (!wanted.planned || wanted.planned.value === null || !wanted.ask) return '';
  const value = wanted.kind === 'lean' ? Number(says.replace(',', '.').replace('−', '-')) : parseLength(says, units());
  if (value === null || !Number.isFinite(value) || Math.abs(value - wanted.planned.value) <= (wanted.ask.value ?? Infinity)) return '';
  return `That is more than ${wanted.ask.said} ${value > wanted.planned.value ? 'over' : 'under'} what the plan has (${wanted.planned.said}). Read it again; if it is right, keep it.`;
}

/** @param {Taken} taken */
function verdict(taken) {
  if (taken.waits) return el('span', { class: 'tag note', text: 'on its way' });
  if (!taken.used) return el('span', { class: 'tag doubt', title: taken.why, text: 'not used' });
  return taken.verdict ? el('span', { class: `tag ${taken.level === 'fine' ? 'pass' : 'doubt'}`, title: taken.why || null, text: taken.verdict }) : null;
}
