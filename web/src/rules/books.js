// The rule books the car answers to, chosen from a list.

import { button, el } from '../cage/dom.js';
import { change } from '../net.js';
import { say } from '../say.js';

/** @typedef {import('../types').BookRow} Book */

/**
 * @param {Book[]} books
 * @param {string[]} chosen
 */
export function askBooks(books, chosen) {
  const box = el('dialog', { class: 'books', 'aria-labelledby': 'books-words' });
  const form = el('form', { method: 'dialog' }, el('h2', { id: 'books-words', text: 'Rule books this car answers to' }),
    el('p', { class: 'quiet', text: 'Editions change every year: check the current book of your series. For your own series run: cagewright book new' }),
    books.map((book) => bookRow(book, chosen.includes(book.id))),
    el('p', { class: 'actions' }, button('Cancel', () => box.close()), el('button', { class: 'main', value: 'yes', text: 'Check against these' })));
  box.append(form);
  box.addEventListener('close', () => {
    box.remove();
    if (box.returnValue === 'yes') void take(new FormData(form).getAll('book').map(String));
  });
  document.body.append(box);
  box.showModal();
}

/** @param {Book} book @param {boolean} on */
function bookRow(book, on) {
  const rows = book.rows === null ? '' : `, ${book.rows} rows`;
  return el('label', {}, el('input', { type: 'checkbox', name: 'book', value: book.id, checked: on }), el('b', { text: book.title }), el('small', { text: `${book.edition}${rows}` }));
}

/** @param {string[]} books */
async function take(books) {
  if (await change('/rules/books', { books })) say('The books are in the plan.', 'done');
}
