/** A field for one length: typed as a builder types it, nudged with the arrows, tried while it changes, set on Enter. */

import { fieldLength, parseLength } from '../numbers.js';
import { el } from './dom.js';

/** @typedef {import('./types.js').Units} Units */

/** One press of an arrow, and with Shift: 1 and 10 mm, or 1/16 and 1/2 in. */
const STEPS = { mm: [1, 10], in: [25.4 / 16, 25.4 / 2] };

/** Fractions want a slash, a space and an inch mark, which a keypad of figures lacks. @param {Units} units */
export const keypad = (units) => (units === 'mm' ? 'decimal' : 'text');
const TYPING_MS = 250;
const NUDGED_MS = 900;

/**
 * @typedef {object} Wants
 * @property {string} label read out, such as `up on main_hoop`
 * @property {string} key finds the field again when the panel is drawn anew
 * @property {number} value mm, or the share for `bare`
 * @property {Units} units
 * @property {boolean} [bare] a share from 0 to 1, no length
 * @property {(value: number|string) => void} onTry while it changes
 * @property {(value: number|string) => void} onSet the builder is done with it
 * @property {() => void} [onLeave] it is as before: take the trial away
 * @property {() => void} [onFocus]
 */

/**
 * @param {Wants} wants
 * @returns {HTMLInputElement}
 */
export function numberField(wants) {
  const made = el('input', {
    type: 'text', inputmode: keypad(wants.units), autocomplete: 'off', spellcheck: 'false', class: 'cage-number',
    'aria-label': wants.label, 'data-key': wants.key, value: written(wants, wants.value),
  });
  let before = made.value;
  let timer = 0;

  const means = () => meaning(made.value, wants);
  const set = () => {
    clearTimeout(timer);
    delete made.dataset.typed;
    const value = means();
    mark(made, value !== null);
    if (value === null) return;
    if (made.value.trim() === before) return wants.onLeave?.();
    before = made.value.trim();
    wants.onSet(value);
  };
  /** @param {number} wait @param {() => void} act */
  const later = (wait, act) => {
    clearTimeout(timer);
    timer = window.setTimeout(act, wait);
  };

  made.addEventListener('focus', () => {
    before = made.value.trim();
    made.select();
    wants.onFocus?.();
  });
  made.addEventListener('pointerdown', () => {
    if (document.activeElement === made) return;
    made.addEventListener('pointerup', () => made.select(), { once: true }); // the press itself would put the caret and select nothing
  });
  made.addEventListener('input', () => {
    made.dataset.typed = 'yes';
    const value = means();
    mark(made, value !== null);
    if (value !== null) later(TYPING_MS, () => wants.onTry(value));
  });
  made.addEventListener('keydown', (event) => {
    if (event.key === 'Enter') set();
    if (event.key === 'Escape' && made.value.trim() !== before) {
      event.stopPropagation();
      clearTimeout(timer);
      delete made.dataset.typed;
      made.value = before;
      mark(made, true);
      wants.onLeave?.();
    }
    if (event.key === 'ArrowUp' || event.key === 'ArrowDown') {
      event.preventDefault();
      nudge(made, wants, event.key === 'ArrowUp' ? 1 : -1, event.shiftKey);
      const value = means();
      if (value === null) return;
      wants.onTry(value);
      later(NUDGED_MS, set);
    }
  });
  made.addEventListener('blur', () => {
    if (made.isConnected) set();
  });
  return made;
}

/** @param {HTMLInputElement} made @param {Wants} wants @param {number} way @param {boolean} shift */
function nudge(made, wants, way, shift) {
  const step = wants.bare ? (shift ? 0.1 : 0.01) : STEPS[wants.units === 'mm' ? 'mm' : 'in'][shift ? 1 : 0];
  const now = wants.bare ? Number(made.value) : parseLength(made.value, wants.units);
  if (now === null || !Number.isFinite(now)) return;
  const next = wants.bare ? Math.min(1, Math.max(0, now + way * step)) : now + way * step;
  made.value = written(wants, next);
}

/** @param {Wants} wants @param {number} value */
function written(wants, value) {
  return wants.bare ? String(Number(value.toFixed(4))) : fieldLength(value, wants.units);
}

/**
 * What the text means to the plan: a bare number, or the words with their unit as they were typed; null for nothing.
 * @param {string} text
 * @param {Wants} wants
 * @returns {number|string|null}
 */
export function meaning(text, wants) {
  const plain = text.trim();
  if (wants.bare) return plain !== '' && Number(plain) >= 0 && Number(plain) <= 1 ? Number(plain) : null;
  if (parseLength(plain, wants.units) === null) return null;
  return /^[+-]?\d+(\.\d*)?$/.test(plain) ? Number(plain) : plain;
}

/** @param {HTMLInputElement} made @param {boolean} right */
function mark(made, right) {
  if (right) made.removeAttribute('aria-invalid');
  else made.setAttribute('aria-invalid', 'true');
}

/**
 * Put another value into a field that is not being typed in.
 * @param {HTMLInputElement} made
 * @param {number} value
 * @param {Units} units
 * @param {boolean} bare
 */
export function show(made, value, units, bare) {
  if (document.activeElement !== made) made.value = bare ? String(Number(value.toFixed(4))) : fieldLength(value, units);
}
