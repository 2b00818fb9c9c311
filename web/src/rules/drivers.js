// Everybody who drives: belts, helmet and sight in every hole and place of the seat, as the command says it.

import { el, fill } from '../cage/dom.js';
import { ask, planUrl, Refused } from '../net.js';
import { plainTable } from '../strength/tables.js';

/** @typedef {import('../types').DriversAnswer} DriversAnswer */

/** @param {HTMLElement} holder filled once it is worked out */
export async function showDrivers(holder) {
  fill(holder, el('p', { class: 'quiet', role: 'status', text: 'Sitting everybody in …' }));
  try {
    const { drivers } = /** @type {{drivers: DriversAnswer[]}} */ (await ask('GET', planUrl('/rules/drivers'), undefined, { quiet: true }));
    fill(holder, drivers.length ? drivers.map(person) : el('p', { class: 'quiet', text: 'The plan seats nobody: give it a driver.' }));
  } catch (wrong) {
    if (!(wrong instanceof Refused)) throw wrong;
    fill(holder, el('p', { class: 'wrong-words', text: wrong.message }));
  }
}

/** @param {DriversAnswer} one */
const person = (one) => el('section', { class: 'rules-person', 'data-person': one.person },
  el('p', { class: one.level === 'fine' ? 'person-headline' : 'person-headline wrong-words', text: one.headline }),
  one.tables.map((table) => plainTable(table)),
  one.holes.length ? el('p', {}, el('a', { href: planUrl(`/rules/drivers/${encodeURIComponent(one.person)}.svg`), download: '', text: 'Drilling template of the holes, full size (SVG)' })) : null,
  one.cautions.map((text) => el('p', { class: 'small quiet', text })));
