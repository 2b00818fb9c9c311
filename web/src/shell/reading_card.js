// One reading: where the tape goes, why, what is plausible, big fields, and what is said of what was typed.

import { el, fill } from '../cage/dom.js';
import { tagOf } from './survey_store.js';

/** @typedef {import('../types').SurveyReading} Reading */
/** @typedef {import('../types').ReadingPart} Part */
/** @typedef {import('../types').ReadingNote} Note */
/** @typedef {import('./survey_store.js').Store} Store */

const WAIT = 350;
/** Beside the words of a reading's state, for who does not see its colour. */
export const SIGNS = { wrong: '✗', done: '✓', begun: '…', must: '○', open: '·' };

/**
 * @param {Reading} first
 * @param {Store} store
 */
export function readingCard(first, store) {
  let row = first;
  const state = el('span', {});
  const notes = el('div', { class: 'reading-notes', role: 'status' });
  const parts = first.parts.map((part) => partFields(part, first, store, notes));
  const card = el('section', { class: 'panel reading', id: `reading-${first.id}`, 'aria-labelledby': `title-${first.id}` },
    el('header', {}, el('span', { class: 'reading-number', 'aria-hidden': 'true', text: String(first.number) }), el('h3', { id: `title-${first.id}`, text: first.title }), state),
    el('img', { class: 'sketch', loading: 'lazy', alt: `Sketch: where the tape goes for ${first.title.toLowerCase()}`, src: `/api/surveys/sketches/${first.id}.svg` }),
    el('div', { class: 'reading-words' },
      el('p', { text: first.hold }),
      el('p', { class: 'quiet small' }, `For: ${first.used}. `, checked(first))),
    el('div', { class: 'reading-fields' }, parts.map((part) => part.holder)), notes);

  /** @param {Reading} next @param {boolean} typed what was typed is being tried: leave the fields alone */
  function show(next, typed) {
    row = next;
    if (!typed) next.parts.forEach((part, i) => parts[i]?.show(part));
    fill(state, el('span', { class: `tag ${row.mark === 'done' ? 'pass' : tagOf(row.level)}`, text: row.state }));
    card.dataset.state = row.mark;
    fill(notes, row.notes.map(noteOf));
  }
  show(first, false);
  return { card, show };
}

/** @param {Reading} row */
const checked = (row) => (row.checked_by.length ? `Checked by: ${row.checked_by.join(', ').toLowerCase()}.` : '');

/** @param {Note} note */
function noteOf(note) {
  return el('p', {}, el('span', { class: `tag ${tagOf(note.level)}`, text: note.tag }), ` ${note.found}. `, el('span', { class: 'quiet', text: `${note.advice}.` }));
}

/**
 * @param {Part} first
 * @param {Reading} row
 * @param {Store} store
 * @param {HTMLElement} notes
 */
function partFields(first, row, store, notes) {
  const inputs = first.fields.map((cell, i) => field(cell, first, row, i));
  const wrong = el('p', { class: 'wrong-words', hidden: true });
  const scanned = el('p', { class: 'from-scan small', text: first.from_scan, hidden: !first.from_scan });
  const holder = el('div', { class: 'reading-part', role: 'group', 'aria-label': `${row.title} ${first.side}`.trim() },
    first.side ? el('b', { class: 'side-name', text: first.side }) : null,
    inputs.map((input, i) => el('label', { class: 'big-reading' }, el('span', { class: 'field-name', text: first.fields[i].label }), el('span', { class: 'with-unit' }, input, el('span', { class: 'unit', text: first.fields[i].unit })), el('small', { class: 'quiet', text: first.fields[i].plausible }))), scanned, wrong);
  let saved = first.fields.map((cell) => cell.text);
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let waiting;

  /** @param {boolean} trial */
  async function send(trial) {
    clearTimeout(waiting);
    const texts = inputs.map((input) => input.value);
    if (!trial && texts.every((text, i) => text === saved[i])) return;
    const refused = await store.setReading(row.id, first.part, texts, trial);
    if (texts.some((text, i) => text !== inputs[i].value)) return;
    for (const input of inputs) input.setAttribute('aria-invalid', String(Boolean(refused)));
    wrong.hidden = !refused || trial;
    wrong.textContent = refused ? `${refused.error}.` : '';
    if (refused && !trial) notes.replaceChildren();
  }
  for (const [i, input] of inputs.entries()) {
    input.addEventListener('input', () => {
      clearTimeout(waiting);
      waiting = setTimeout(() => void send(true), WAIT);
    });
    input.addEventListener('change', () => void send(false));
    input.addEventListener('keydown', (event) => {
      if (event.key !== 'Enter') return;
      event.preventDefault();
      const all = /** @type {HTMLInputElement[]} */ ([...document.querySelectorAll('.reading-fields input')]);
      all[all.indexOf(inputs[i]) + 1]?.focus();
    });
  }
  /** @param {Part} part */
  function show(part) {
    saved = part.fields.map((cell) => cell.text);
    scanned.hidden = !part.from_scan;
    scanned.textContent = part.from_scan;
    part.fields.forEach((cell, i) => {
      if (document.activeElement !== inputs[i]) inputs[i].value = cell.text;
    });
  }
  return { holder, show };
}

/** @param {import('../types').ReadingField} cell @param {Part} part @param {Reading} row @param {number} i */
function field(cell, part, row, i) {
  return el('input', {
    inputmode: 'text', autocomplete: 'off', spellcheck: 'false', maxlength: '30', 'data-typed': 'yes',
    'data-reading': row.id, 'data-part': part.part, 'data-value': cell.value, 'aria-label': [row.title, part.side, cell.label].filter(Boolean).join(', '), id: `f-${row.id}-${part.part}-${i}`,
  });
}
