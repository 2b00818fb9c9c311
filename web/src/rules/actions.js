// What to do, first: findings that ask for the same as one line, the costliest on top.

import { el } from '../cage/dom.js';
import { soft } from '../cut/sheet.js';
import { tagOf } from './tag.js';

/** @typedef {import('../types').Action} Action */

/**
 * @param {import('../types').FindingsAnswer | null} answer
 * @param {{doing: Action | null, act: (action: Action) => void}} bench the one that is shown, and what shows another
 */
export function actionsList(answer, { doing, act }) {
  if (!answer?.actions.length) return el('p', { class: 'quiet', text: answer ? 'Nothing asks to be done.' : 'Nothing is checked yet.' });
  const heads = [...new Set(answer.actions.map((a) => a.head))];
  return el('div', { class: 'rules-do' },
    heads.map((head) => el('section', {}, el('h2', { text: head }), el('ol', { start: String(answer.actions.findIndex((a) => a.head === head) + 1) },
      answer.actions.filter((a) => a.head === head).map((action) => el('li', { 'data-do': action.said },
        el('button', { type: 'button', class: 'pick', 'aria-pressed': String(action === doing), onclick: () => act(action) }, soft(action.words)),
        ' ', tagOf(action), el('small', {}, soft(action.why))))))),
    answer.padding?.rows.length ? paddingTable(answer.padding) : null,
    el('p', { class: 'small quiet', text: `${answer.rest}.` }));
}

const HEADS = ['Tube', 'From its start', 'To', 'In reach', 'Kind', 'To buy'];

/** @param {import('../types').Padding} padding */
function paddingTable(padding) {
  return el('section', {}, el('h2', { text: 'Padding list' }), el('p', { class: 'small', text: padding.words }), el('table', { class: 'plain' },
    el('thead', {}, el('tr', {}, HEADS.map((text) => el('th', { scope: 'col', text })))),
    el('tbody', {}, padding.rows.map((row) => el('tr', {}, [row.shown, row.start.said, row.stop.said, row.reach, row.kind, row.length.said].map((text) => el('td', {}, soft(text))))))));
}
