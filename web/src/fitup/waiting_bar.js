// What waits for the network, said where it is seen; and what was refused, kept until the builder decides.

import { button, el, fill } from '../cage/dom.js';

/** @typedef {import('../outbox.js').Outbox} Outbox */

const AWAY = 'Go on: they are kept in this browser and sent by themselves. Do not reload or close the page until then; without the network it cannot be loaded again, for that needs TLS, which the workbench does not have.';

/** @param {number} many */
export const entries = (many) => (many === 1 ? '1 entry waits' : `${many} entries wait`);

/** @param {HTMLElement} holder @param {Outbox} outbox */
export function showWaiting(holder, outbox) {
  const { waiting, refused } = outbox;
  const quick = waiting.length > 0 && !outbox.away && !outbox.why;
  holder.hidden = !outbox.away && !refused.length && (!waiting.length || quick);
  if (holder.hidden) return fill(holder);
  const head = waiting.length ? `${entries(waiting.length)} for the ${outbox.why ? 'workbench' : 'network'}.` : outbox.away ? 'The workbench is out of reach.' : '';
  const told = outbox.why || (waiting.length ? AWAY : AWAY.replace('they are', 'what you enter is'));
  fill(holder,
    outbox.away || outbox.why ? el('p', {}, el('b', { id: 'waiting-count', role: 'status', text: head }), ` ${told}`, outbox.lasting ? null : el('b', { text: ' This browser keeps nothing when the page is closed (a private window?).' })) : null,
    waiting.length && !quick ? el('details', {}, el('summary', { text: 'What waits' }), el('ul', {}, waiting.map((item) => el('li', { text: item.words })))) : null,
    refused.length ? el('ul', { class: 'refused' }, refused.map((item) => el('li', {}, el('span', {}, el('b', { text: 'Not taken: ' }), `${item.words}. ${item.refused}`), button('Try again', () => void outbox.again(item)), button('Throw it away', () => void outbox.drop(item))))) : null);
  return undefined;
}
