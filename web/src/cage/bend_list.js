/** A bending list as fields: which way it sets out, then straight, turn and angle of each bend, and the last straight. */

import { parseLength } from '../numbers.js';
import { keypad } from './number_field.js';
import { button, choice, el, field } from './dom.js';

/** @typedef {{straight: string, turn: string, angle: string}} Step */
/** @typedef {{way: string, towards: string, steps: Step[], last: string}} BendList */

/** The ways a tube can set out and turn. @type {Record<string, [string, number[]]>} */
const WAYS = { up: ['up', [0, 0, 1]], down: ['down', [0, 0, -1]], back: ['back', [1, 0, 0]], forward: ['forward', [-1, 0, 0]], left: ['to the left', [0, -1, 0]], right: ['to the right', [0, 1, 0]] };

/** @returns {BendList} */
export const freshList = () => ({ way: 'up', towards: 'right', steps: [{ straight: '', turn: '0', angle: '90' }], last: '' });

/** Whether every field of it holds a number. @param {BendList} list */
export const isWhole = (list) => [list.last, ...list.steps.map((s) => s.straight)].every((text) => parseLength(text, 'mm') !== null)
  && list.steps.every((s) => Number(s.angle) > 0 && Number.isFinite(Number(s.turn)));

/** As the change says it. @param {BendList} list */
export const wordsOf = ({ way, towards, steps, last }) => ({
  way: WAYS[way][1], towards: WAYS[towards][1], last: bare(last),
  steps: steps.map((s) => ({ straight: bare(s.straight), turn: `${Number(s.turn)} deg`, angle: `${Number(s.angle)} deg` })),
});

/** @param {string} text */
const bare = (text) => (/^\d+(\.\d*)?$/.test(text.trim()) ? Number(text) : text.trim());

/** @param {BendList} list @param {import('./types.js').Scene} scene @param {(list: BendList) => void} act */
export function listFields(list, scene, act) {
  const words = Object.entries(WAYS).map(([key, [said]]) => /** @type {[string, string]} */ ([key, said]));
  const put = (/** @type {number} */ n, /** @type {Partial<Step>} */ what) => act({ ...list, steps: list.steps.map((s, m) => (m === n ? { ...s, ...what } : s)) });
  const text = (/** @type {string} */ label, /** @type {string} */ value, /** @type {(text: string) => void} */ set, /** @type {string} */ mode) => {
    const made = el('input', { type: 'text', inputmode: mode, value, autocomplete: 'off', class: 'cage-number', 'aria-label': label, 'data-key': label });
    made.addEventListener('change', () => set(made.value));
    return made;
  };
  const pad = keypad(scene.units);
  return el('div', { class: 'cage-list' },
    el('div', { class: 'cage-what' }, field('Sets out', choice(words, list.way, (way) => act({ ...list, way }), { 'data-key': 'way' })), field('First bend turns', choice(words, list.towards, (towards) => act({ ...list, towards }), { 'data-key': 'towards' }))),
    el('table', { class: 'cage-table' }, el('thead', {}, el('tr', {}, ['Bend', 'Straight before', 'Turn, deg', 'Angle, deg', ''].map((t) => el('th', { text: t, scope: 'col' })))),
      el('tbody', {}, list.steps.map((s, n) => el('tr', {}, el('th', { scope: 'row', text: String(n + 1) }),
        el('td', {}, text(`Straight before bend ${n + 1}`, s.straight, (straight) => put(n, { straight }), pad)),
        el('td', {}, n ? text(`Turn before bend ${n + 1}`, s.turn, (turn) => put(n, { turn }), 'text') : '–'),
        el('td', {}, text(`Angle of bend ${n + 1}`, s.angle, (angle) => put(n, { angle }), 'decimal')),
        el('td', {}, button('✗', () => act({ ...list, steps: list.steps.filter((_, m) => m !== n) }), { class: 'cage-drop', 'aria-label': `Leave out bend ${n + 1}` })))))),
    el('div', { class: 'cage-what' }, field('Last straight', text('Last straight', list.last, (last) => act({ ...list, last }), pad)),
      button('One bend more', () => act({ ...list, steps: [...list.steps, { straight: '', turn: '0', angle: '90' }] }), { 'data-key': 'more' })));
}
