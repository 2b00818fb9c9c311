// A new plan from a few plain choices.

import { el, fill } from '../cage/dom.js';
import { ask, Refused } from '../net.js';
import { fieldLength } from '../numbers.js';
import { say } from '../say.js';

const STARTS = [
  ['cage', 'A whole cage', 'Laid out in an invented two-door saloon; move it to your own car bar by bar, or from your readings later.'],
  ['sizes', 'A base structure by seven sizes', 'Hoop, front legs, windscreen bar and backstays from seven lengths off the tape; you draw the rest onto it.'],
  ['roll bar', 'A roll bar', 'Hoop, two backstays and a diagonal: four tubes, the quickest way to see a cut list and a template.'],
  ['survey', 'From my own tape readings', 'Fill in what the tape says on the stripped shell; the first plan is laid out from that.'],
];

export function newPlan() {
  const title = el('input', { name: 'title', maxlength: '200', autocomplete: 'off', 'aria-describedby': 'title-wrong' });
  const books = chosen('book', 'Rule book', [['fia-253-2009', 'FIA Appendix J, Article 253-8'], ['', 'none yet']]);
  void moreBooks(books);
  const sizes = el('div', { class: 'new-sizes new-fields', 'data-for': 'sizes' });
  const form = el('form', { class: 'panel', id: 'new-plan', 'aria-labelledby': 'new-plan-words' },
    el('h2', { id: 'new-plan-words', text: 'Start a new plan' }),
    el('fieldset', { class: 'starts' }, el('legend', { class: 'visually-hidden', text: 'What to start from' }), STARTS.map(startOf)),
    el('div', { class: 'new-fields' },
      el('label', { class: 'field wide' }, 'What is it called?', title, el('span', { class: 'hint quiet', id: 'title-wrong', text: 'The car and the job, for example: Brackwater two-door, hill-climb' })),
      chosen('units', 'Your tape reads', [['mm', 'millimetres'], ['in', 'inches']]),
      books,
      chosen('side', 'Driver sits', [['left', 'on the left'], ['right', 'on the right']]),
      chosen('door', 'Doorbars', [['bars', 'level'], ['X', 'crossing']]),
      chosen('roof', 'Roof', [['V', 'a V'], ['X', 'crossing bars'], ['diagonal', 'one diagonal']])),
    sizes,
    el('p', { class: 'actions' }, el('button', { class: 'main', type: 'submit', text: 'Start' })));
  form.addEventListener('submit', (event) => {
    event.preventDefault();
    if (named(title)) void start(form);
  });
  form.addEventListener('change', (event) => {
    suit(form);
    if (/** @type {HTMLElement} */ (event.target).getAttribute('name') === 'units') void sizeFields(sizes, form);
  });
  suit(form);
  void sizeFields(sizes, form);
  return form;
}

/** @param {string[]} row @param {number} n */
function startOf([value, words, about], n) {
  return el('label', {}, el('input', { type: 'radio', name: 'start', value, checked: n === 0 }), el('b', { text: words }), el('small', { text: about }));
}

/** @param {string} name @param {string} words @param {[string, string][]} choices @param {string} [first] */
function chosen(name, words, choices, first) {
  const select = el('select', { name }, choices.map(([value, said]) => el('option', { value, text: said, selected: value === first })));
  return el('label', { class: 'field', 'data-for': name }, words, select);
}

/** Whether it has a name; says so where not. @param {HTMLInputElement} title */
function named(title) {
  const is = title.value.trim() !== '';
  title.setAttribute('aria-invalid', String(!is));
  const words = document.getElementById('title-wrong');
  if (!is && words) {
    words.className = 'wrong wrong-words';
    words.textContent = 'Give it a name first: the car and the job.';
    title.focus();
  }
  return is;
}

/** The whole list, which takes a moment to read. @param {HTMLElement} field */
async function moreBooks(field) {
  /** @type {import('../types').BookRow[]} */
  const books = await ask('GET', '/api/folder/books', undefined, { quiet: true }).catch(() => []);
  const select = field.querySelector('select');
  const there = [...(select?.options ?? [])].map((option) => option.value);
  const none = select?.querySelector('option[value=""]') ?? null;
  for (const book of books) if (!there.includes(book.id)) select?.insertBefore(el('option', { value: book.id, text: `${book.title}, ${book.edition}` }), none);
}

/** The seven sizes, with usual ones in them in the units of the tape. @param {HTMLElement} holder @param {HTMLFormElement} form */
async function sizeFields(holder, form) {
  const units = /** @type {'mm' | 'in'} */ (new FormData(form).get('units') ?? 'mm');
  /** @type {{key: string, words: string, usual: number}[]} */
  const sizes = await ask('GET', '/api/folder/sizes', undefined, { quiet: true }).catch(() => []);
  fill(holder, sizes.map(({ key, words, usual }) => el('label', { class: 'field' }, words,
    el('input', { name: key, autocomplete: 'off', inputmode: units === 'mm' ? 'decimal' : 'text', value: fieldLength(units === 'mm' ? usual : Math.round(usual / 12.7) * 12.7, units) }))));
}

/** Only what the start asks for: a roll bar has no doors and no roof. @param {HTMLFormElement} form */
function suit(form) {
  const start = String(new FormData(form).get('start'));
  const asked = start === 'sizes' ? ['sizes'] : start === 'roll bar' ? [] : ['side', 'door', 'roof'];
  for (const name of ['side', 'door', 'roof', 'sizes']) {
    const field = /** @type {HTMLElement | null} */ (form.querySelector(`[data-for="${name}"]`));
    if (field) field.hidden = !asked.includes(name);
  }
}

/** @param {HTMLFormElement} form */
async function start(form) {
  const go = /** @type {HTMLButtonElement} */ (form.querySelector('button.main'));
  go.disabled = true;
  say('Laying it out …');
  try {
    const made = await ask('POST', '/api/folder/plans', Object.fromEntries(new FormData(form)));
    location.assign(made.address);
  } catch (wrong) {
    if (!(wrong instanceof Refused)) throw wrong;
    go.disabled = false;
  }
}
