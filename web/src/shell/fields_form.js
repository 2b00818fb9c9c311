// What the survey says of the car, the driver and the builder's wishes, as fields that save themselves.

import { el, fill } from '../cage/dom.js';

/** @typedef {import('../types').SurveyField} Field */
/** @typedef {import('./survey_store.js').Survey} Survey */
/** @typedef {import('./survey_store.js').Store} Store */

/**
 * @param {Store} store
 * @param {'car' | 'wishes'} which
 * @param {string} title
 */
export function fieldsForm(store, which, title) {
  const holder = el('div', { class: 'survey-fields' });
  /** @type {Map<string, HTMLElement>} */
  const there = new Map();
  store.onSurvey((now, why) => {
    // what was saved here stays as it is: the next field may be typed in already
    for (const [name, one] of there) if ((why === 'read' || !now[which].some((field) => field.name === name)) && there.delete(name)) one.remove();
    for (const field of now[which].filter((one) => !there.has(one.name))) {
      const made = oneField(field, now, store);
      there.set(field.name, made);
      holder.append(made);
    }
  });
  return el('section', { class: 'panel', 'aria-label': title }, el('h2', { text: title }), holder);
}

/** @param {Field} field @param {Survey} survey @param {Store} store */
function oneField(field, survey, store) {
  const wrong = el('span', { class: 'wrong', role: 'alert' });
  /** @param {any} value @param {HTMLElement} control */
  const save = async (value, control) => {
    const refused = await store.setField(field.name, value);
    control.setAttribute('aria-invalid', String(Boolean(refused)));
    wrong.textContent = refused ? `${refused.error}.` : '';
  };
  if (field.sort === 'books') return books(field, survey, save);
  if (field.sort === 'yes or no') {
    const box = el('input', { type: 'checkbox', checked: field.value === true, onchange: () => void save(box.checked, box) });
    return el('label', { class: 'check' }, box, field.label);
  }
  const control = controlOf(field, save);
  const unit = field.unit ? ` (${field.unit})` : '';
  return el('label', { class: 'field' }, `${field.label}${unit}`, control, field.hint ? el('span', { class: 'hint quiet', text: field.hint }) : null, wrong);
}

/** @param {Field} field @param {(value: any, control: HTMLElement) => Promise<void>} save */
function controlOf(field, save) {
  if (field.sort === 'choice') {
    const select = el('select', { name: field.name, onchange: () => void save(select.value, select) }, field.choices.map((c) => el('option', { value: c.value, text: c.words })));
    select.value = String(field.value);
    return select;
  }
  const count = field.sort === 'count';
  const input = el('input', { name: field.name, type: count ? 'number' : 'text', min: count ? '1' : null, max: count ? '4' : null, 'data-typed': 'yes', autocomplete: 'off', onchange: () => void save(count ? Number(input.value) : input.value, input) });
  input.value = String(field.value);
  return input;
}

/** @param {import('../types').BookRow} book */
const titleOf = (book) => `${book.title}, ${book.edition}`;

/** @param {Field} field @param {Survey} survey @param {(value: any, control: HTMLElement) => Promise<void>} save */
function books(field, survey, save) {
  const named = el('span', { class: 'quiet' });
  const set = el('fieldset', { class: 'bare book-list' }, el('legend', { class: 'visually-hidden', text: field.label }), survey.books.map((book) =>
    el('label', { class: 'check' }, el('input', { type: 'checkbox', value: book.id, checked: [field.value].flat().includes(book.id) }), titleOf(book))));
  const chosen = () => /** @type {HTMLInputElement[]} */ ([...set.querySelectorAll('input:checked')]).map((one) => one.value);
  const name = () => fill(named, survey.books.filter((book) => chosen().includes(book.id))  .map(titleOf).join('; ') || 'none chosen');
  name();
  set.addEventListener('change', () => {
    name();
    void save(chosen(), set);
  });
  return el('details', { class: 'wide' }, el('summary', {}, field.label, ': ', named), set);
}
