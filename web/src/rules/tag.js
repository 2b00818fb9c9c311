// The tag of a verdict: a rule book's in its colour, an own check's in another.

import { el } from '../cage/dom.js';

const TAGS = /** @type {Record<string, string>} */ ({ fail: 'wrong', 'looks broken': 'warn', 'look at': 'warn', 'cannot tell': 'doubt', 'looks kept': 'off', pass: 'pass', 'does not apply': 'off' });
const KEPT = ['pass', 'looks kept', 'does not apply'];

/** @param {{judge: string, verdict: string, said: string}} finding or thing to do */
export const tagOf = ({ judge, verdict, said }) => el('span', { class: `tag ${judge === 'own check' && !KEPT.includes(verdict) ? 'own' : TAGS[verdict]}`, text: said });
