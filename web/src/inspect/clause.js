// One clause on the walk: what to measure with what, the limit, a box for the reading, its verdict.

import { button, el } from '../cage/dom.js';
import { soft } from '../cut/sheet.js';
import { tagOf } from '../rules/tag.js';

/** @typedef {import('../types').InspectedRow} Row */
/** @typedef {{keep: (row: string, says: string) => Promise<boolean>, withdraw: (line: number) => Promise<void>, canWrite: () => boolean}} Heard */

/** @param {Row} row @param {Heard} heard */
export function clauseRow(row, heard) {
  /** @type {[string, string][]} */
  const facts = [['Look at', `${row.what} (${row.tool})`], ['Wanted', row.limit === 'yes' ? '' : row.limit], ['Planned', row.planned]];
  return el('li', { 'data-row': row.rule, class: 'clause' },
    el('div', { class: 'clause-said' }, el('b', {}, soft(row.title)), ' ', el('small', { class: 'quiet', text: row.clause }),
      el('dl', {}, facts.filter(([, said]) => said).flatMap(([term, said]) => [el('dt', { text: term }), el('dd', {}, soft(said))]))),
    el('div', { class: 'clause-read' }, row.asks === 'yes or no' ? yesOrNo(row, heard) : box(row, heard), verdict(row), row.line ? by(row, heard) : null, row.why ? el('small', { text: row.why }) : null));
}

/** @param {Row} row */
function verdict(row) {
  if (!row.verdict) return el('span', { class: 'tag note', text: 'not looked at' });
  return el('span', {}, tagOf({ judge: 'by the book', verdict: row.verdict, said: row.verdict }), row.reading ? null : el('small', { text: ' on the plan' }));
}

/** @param {Row} row @param {Heard} heard */
function yesOrNo(row, heard) {
  return el('div', { class: 'answers', role: 'group', 'aria-label': row.title }, [['yes', 'Yes, kept'], ['no', 'No']].map(([says, words]) =>
    button(words, () => void heard.keep(row.rule, says), { class: 'answer', disabled: !heard.canWrite(), 'aria-pressed': String(row.reading === says) })));
}

/** @param {Row} row @param {Heard} heard */
function box(row, heard) {
  const input = el('input', { type: 'text', value: row.reading, autocomplete: 'off', maxlength: 60, disabled: !heard.canWrite(), 'aria-label': `${row.title}: ${row.wanted}`,
    inputmode: row.asks === 'figure' ? 'decimal' : null, placeholder: row.asks === 'size' ? (row.unit === 'in' ? '1.75 x 0.095' : '45 x 2.5') : null, onchange: () => void taken() });
  const taken = async () => {
    const said = input.value.trim();
    if (!said || said === row.reading) return;
    input.setAttribute('aria-invalid', String(!(await heard.keep(row.rule, said))));
  };
  return el('label', { class: 'reading-box' }, input, el('span', { text: row.unit }));
}

/** @param {Row} row @param {Heard} heard */
function by(row, heard) {
  return el('small', {}, `${row.by} `, button('Take it back', () => void heard.withdraw(row.line), { class: 'link', disabled: !heard.canWrite() }));
}
