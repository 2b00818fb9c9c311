// One reading: where the tape goes, why, what is plausible, big fields, and what is said of what was typed.

import { el, fill } from '../cage/dom.js';

/** @typedef {import('./survey_store.js').Reading} Reading */
/** @typedef {import('./survey_store.js').Part} Part */
/** @typedef {import('./survey_store.js').Note} Note */
/** @typedef {import('./survey_store.js').Store} Store */

const WAIT = 350;
/** What stands over a field. */
const WORDS = /** @type {Record<string, string>} */ ({ half: 'half, from the string', back: 'back', up: 'up', lean: 'lean', distance: 'distance' });
const TAGS = /** @type {Record<string, string>} */ ({ impossible: 'wrong', slip: 'wrong', range: 'wrong', missing: 'doubt', 'stood in': 'note', unchecked: 'note', uneven: 'note' });
const SAID = /** @type {Record<string, string>} */ ({
  impossible: 'cannot be', slip: 'does not fit', range: 'not plausible', missing: 'not read', 'stood in': 'taken from elsewhere',
  unchecked: 'nothing checks it', uneven: 'uneven',
});

/**
 * @param {Reading} first
 * @param {import('../shapes').Units} units
 * @param {Store} store
 */
export function readingCard(first, units, store) {
  let row = first;
  const state = el('span', {});
  const notes = el('div', { class: 'reading-notes', role: 'status' });
  const parts = first.parts.map((part) => partFields(part, first, units, store, notes));
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
    const { mark, words, tag } = stateOf(row);
    fill(state, el('span', { class: `tag ${tag}`.trim(), text: words }));
    card.dataset.state = mark;
    fill(notes, worthSaying(row).map(noteOf));
  }
  show(first, false);
  return { card, show };
}

/** @param {Reading} row */
const checked = (row) => (row.checked_by.length ? `Checked by: ${row.checked_by.join(', ').toLowerCase()}.` : '');

/** A reading that nobody has begun needs no complaint: its head says that it is wanted. @param {Reading} row */
const worthSaying = (row) => row.notes.filter((note) => row.begun || note.kind === 'stood in');

/**
 * @param {Reading} row
 * @returns {{mark: string, words: string, tag: string, sign: string}}
 */
export function stateOf(row) {
  if (row.notes.some((note) => note.grave && note.kind !== 'missing')) return { mark: 'wrong', words: 'take it again', tag: 'wrong', sign: '✗' };
  if (row.done) return { mark: 'done', words: 'read', tag: 'pass', sign: '✓' };
  if (row.begun) return { mark: 'begun', words: 'not all read', tag: 'doubt', sign: '…' };
  if (row.need === 'must') return { mark: 'must', words: 'needed', tag: '', sign: '○' };
  return { mark: 'open', words: row.need === 'check' ? 'checks the others' : 'wanted', tag: '', sign: '·' };
}

/** @param {Note} note */
function noteOf(note) {
  return el('p', {}, el('span', { class: `tag ${TAGS[note.kind] ?? 'note'}`, text: SAID[note.kind] ?? note.kind }), ` ${note.found}. `, el('span', { class: 'quiet', text: `${note.advice}.` }));
}

/**
 * @param {Part} first
 * @param {Reading} row
 * @param {import('../shapes').Units} units
 * @param {Store} store
 * @param {HTMLElement} notes
 */
function partFields(first, row, units, store, notes) {
  const unit = row.angle ? '°' : units;
  const side = first.part.replaceAll('_', ' ');
  const inputs = first.fields.map((cell, i) => field(cell.value, side, row, i));
  const wrong = el('p', { class: 'wrong-words', hidden: true });
  const holder = el('div', { class: 'reading-part', role: 'group', 'aria-label': `${row.title} ${side}`.trim() },
    side && !single(row) ? el('b', { class: 'side-name', text: side }) : null,
    inputs.map((input, i) => el('label', { class: 'big-reading' }, el('span', { class: 'field-name', text: single(row) ? side : (WORDS[first.fields[i].value] ?? first.fields[i].value) }), el('span', { class: 'with-unit' }, input, el('span', { class: 'unit', text: unit })), el('small', { class: 'quiet', text: row.plausible[i] }))), wrong);
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
    part.fields.forEach((cell, i) => {
      if (document.activeElement !== inputs[i]) inputs[i].value = cell.text;
    });
  }
  return { holder, show };
}

/** @param {string} value @param {string} side @param {Reading} row @param {number} i */
function field(value, side, row, i) {
  return el('input', {
    inputmode: row.angle ? 'decimal' : 'text', autocomplete: 'off', spellcheck: 'false', maxlength: '30', 'data-typed': 'yes',
    'data-reading': row.id, 'data-part': row.parts.length > 1 ? side : '', 'data-value': value, 'aria-label': `${row.title}, ${side ? `${side}, ` : ''}${value}`, id: `f-${row.id}-${side.replaceAll(' ', '_')}-${i}`,
  });
}

/** Whether each part is one number, which its part's name says enough of. @param {Reading} row */
const single = (row) => row.parts.length > 1 && row.parts[0].fields.length === 1;
