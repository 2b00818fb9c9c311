// The record beside readings and ticks: photos by the phone's own camera, notes, hours, signatures.

import { button, choice, el, fill } from '../cage/dom.js';
import { planUrl } from '../net.js';
import { say } from '../say.js';
import { sayName } from '../view/view.js';
import { preview, smallEnough } from './photo.js';
import { when } from './work.js';

/** @typedef {import('./types.js').StepData} StepData */
/** @typedef {import('./types.js').RecordRow} RecordRow */
/** @typedef {{enter: (body: Record<string, any>, words: string, blob?: Blob) => Promise<void>, takeBack: (uid: string, words: string) => void, canWrite: () => boolean, unsent: () => boolean, covered: () => Promise<import('../types').CoveredAnswer | null>}} Heard */

const TITLES = /** @type {Record<string, string>} */ ({ photo: 'Photo', note: 'Note', hours: 'Hours', 'sign-off': 'Signed' });
const FIRST = 20;
const STANDINGS = ['welder', 'fabricator', 'inspector', 'customer'];

/** Why something was not kept. @param {unknown} wrong */
const sayWhy = (wrong) => say(wrong instanceof Error ? wrong.message : String(wrong), 'wrong');

export class RecordPanel {
  /** @param {HTMLElement} holder @param {Heard} heard */
  constructor(holder, heard) {
    this.holder = holder;
    this.heard = heard;
    /** @type {StepData | null} */
    this.data = null;
    this.list = el('div', { class: 'record-list' });
    this.step = 0;
    /** Whether every row is shown, not only the newest. */
    this.all = false;
  }

  /** @param {StepData} data */
  show(data) {
    this.data = data;
    if (this.step !== data.step.number || !this.holder.firstChild) this.form(data);
    this.step = data.step.number;
    const off = !this.heard.canWrite();
    for (const one of this.holder.querySelectorAll('.record-form input, .record-form button, .record-form textarea, .record-form select')) /** @type {HTMLInputElement} */ (one).disabled = off;
    this.signing();
    this.rows(data);
  }

  /** What is typed stays while the rest of the page is drawn again. @param {StepData} data */
  form(data) {
    const { step } = data;
    const whole = `step ${step.number}`;
    const things = [...new Set([...step.tack, ...step.weld, ...step.parts])];
    const about = choice([[whole, `the whole of step ${step.number}`], .../** @type {[string, string][]} */ (things.map((name) => [name, sayName(name)]))], whole, () => {}, { id: 'record-about' });
    const note = el('textarea', { id: 'record-note', rows: 2, maxlength: 2000, 'data-typed': 'yes' });
    const hours = el('input', { type: 'text', id: 'record-hours', autocomplete: 'off', placeholder: '1:30', 'data-typed': 'yes' });
    const about_ = () => ({ what: about.value });
    fill(this.holder,
      el('section', { class: 'record-form' },
        el('label', { class: 'field' }, 'What it is about', about),
        el('div', { class: 'record-photo' }, this.picker('Take a photo', 'environment', about_, note), this.picker('Choose a photo', null, about_, note)),
        el('label', { class: 'field' }, 'Note', note),
        button('Keep the note', () => void this.keep(note, (says) => ({ entry: 'note', says, ...about_() }), (says) => `note: ${says}`), { class: 'big', id: 'keep-note' }),
        el('div', { class: 'record-hours' }, el('label', { class: 'field' }, 'Hours worked', hours), button('Keep the hours', () => void this.keep(hours, (says) => ({ entry: 'hours', says, ...about_() }), (says) => `hours: ${says}`), { class: 'big', id: 'keep-hours' })),
        this.signature(step.number)),
      this.list);
  }

  /** @param {string} words @param {string | null} capture @param {() => {what: string}} about @param {HTMLTextAreaElement} note */
  picker(words, capture, about, note) {
    const input = el('input', { type: 'file', accept: 'image/*', capture, class: 'visually-hidden', id: capture ? 'take-photo' : 'choose-photo', onchange: () => void this.photo(input, about, note) });
    return el('label', { class: 'button big' }, words, input);
  }

  /** @param {HTMLInputElement} input @param {() => {what: string}} about @param {HTMLTextAreaElement} note */
  async photo(input, about, note) {
    const file = input.files?.[0];
    input.value = '';
    if (!file) return;
    try {
      const blob = await smallEnough(file);
      await this.heard.enter({ entry: 'photo', called: file.name.slice(0, 80), note: note.value.trim(), ...about() }, `photo of ${sayName(about().what)}`, blob);
      note.value = '';
    } catch (wrong) {
      sayWhy(wrong);
    }
  }

  /** @param {HTMLInputElement | HTMLTextAreaElement} field @param {(says: string) => Record<string, any>} body @param {(says: string) => string} words */
  async keep(field, body, words) {
    const says = field.value.trim();
    if (field.readOnly) return;
    if (!says) return field.focus();
    field.readOnly = true; // what is typed goes from the page once this browser has it, not before
    try {
      await this.heard.enter(body(says), words(says).slice(0, 80));
      field.value = '';
    } catch (wrong) {
      sayWhy(wrong);
    } finally {
      field.readOnly = false;
    }
  }

  /** @param {number} number */
  signature(number) {
    const what = el('input', { type: 'text', id: 'sign-what', value: `Step ${number} is done as the record says`, maxlength: 200, 'data-typed': 'yes' });
    const standing = el('input', { type: 'text', id: 'sign-as', list: 'standings', maxlength: 80, placeholder: 'welder', autocomplete: 'off' });
    const act = () => void this.heard.enter({ entry: 'sign-off', what: what.value.trim(), standing: standing.value.trim(), seen: this.data?.record?.count ?? 0 }, `signature: ${what.value.trim()}`);
    const stands = el('div', { class: 'sign-covers', 'aria-live': 'polite' });
    const opened = (/** @type {Event} */ event) => { if (/** @type {HTMLDetailsElement} */ (event.target).open) void this.covers(stands); };
    return el('details', { class: 'record-sign', ontoggle: opened }, el('summary', { text: 'Sign …' }),
      el('label', { class: 'field' }, 'What is signed for', what), el('label', { class: 'field' }, 'Signed as', standing),
      el('datalist', { id: 'standings' }, STANDINGS.map((value) => el('option', { value }))),
      stands, el('p', { class: 'small', id: 'sign-words' }), button('Sign', act, { class: 'big main', id: 'sign' }),
      el('p', { class: 'small quiet', text: 'The shop’s own record, a name typed here; not a certificate.' }));
  }

  /** What it would stand for, and what not. @param {HTMLElement} holder */
  async covers(holder) {
    fill(holder, el('p', { class: 'quiet', text: 'Looking through the record …' }));
    const found = await this.heard.covered();
    const list = (/** @type {string} */ title, /** @type {string[]} */ lines) => el('section', {}, el('h4', { text: title }), el('ul', { class: 'small' }, lines.map((text) => el('li', { text }))));
    fill(holder, found ? [list('It covers', found.covers), list('It does not cover', found.leaves), ...found.cautions.map((text) => el('p', { class: 'small', text }))] : null);
  }

  /** A signature stands for what the signer has seen, so nothing may be on its way. */
  signing() {
    const words = this.holder.querySelector('#sign-words');
    const sign = /** @type {HTMLButtonElement | null} */ (this.holder.querySelector('#sign'));
    if (!words || !sign) return;
    const unsent = this.heard.unsent();
    sign.disabled = unsent || !this.heard.canWrite();
    words.textContent = unsent ? 'Entries are on their way to the workbench, or it is out of reach. A signature stands for all of the record: sign when they are there.' : `It stands for the ${this.data?.record?.count ?? 0} lines that this job has.`;
  }

  /** @param {StepData} data */
  rows(data) {
    const record = data.record;
    const rows = record?.rows ?? [];
    const more = rows.length - (this.all ? rows.length : FIRST);
    fill(this.list, record?.hours ? el('p', { text: record.hours }) : null,
      rows.length ? el('ul', { class: 'record-rows' }, rows.slice(0, this.all ? undefined : FIRST).map((row) => this.row(row))) : el('p', { class: 'quiet', text: 'No photo, note, hours or signature yet.' }),
      more > 0 ? button(`Show ${more} more`, () => { this.all = true; this.rows(data); }) : null);
  }

  /** @param {RecordRow} row */
  row(row) {
    const said = row.kind === 'photo' ? row.note : [row.kind === 'sign-off' ? row.about : row.said, row.note].filter(Boolean).join(' · ');
    const head = row.kind === 'sign-off' ? `${TITLES[row.kind]}${row.said ? `, ${row.said}` : ''}` : `${TITLES[row.kind]}, ${sayName(row.about)}`;
    return el('li', {}, row.kind === 'photo' ? this.picture(row) : null,
      el('div', {}, el('b', { text: head }), said ? el('p', { class: 'record-said', text: said }) : null,
        el('p', { class: 'small quiet' }, `${row.by}, ${when(row.taken)} `, row.waits ? el('span', { class: 'tag note', text: 'on its way' }) : null, ' ', row.as_signed === false ? el('span', { class: 'tag wrong', text: 'changed since it was signed' }) : null, row.as_signed ? el('span', { class: 'tag pass', text: 'stands as signed' }) : null,
          button('Take it back', () => this.heard.takeBack(row.uid, head), { class: 'link', disabled: !this.heard.canWrite() }))));
  }

  /** @param {RecordRow} row */
  picture(row) {
    if (row.blob) return el('div', { class: 'record-picture' }, preview(row.blob));
    if (!row.said.startsWith('photos/')) return el('p', { class: 'small', text: row.said });
    const src = planUrl(`/fitup/${row.said}`);
    return el('a', { class: 'record-picture', href: src, target: '_blank', rel: 'noopener' }, el('img', { src, loading: 'lazy', alt: `Photo of ${sayName(row.about)}` }));
  }
}
