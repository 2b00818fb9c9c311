/** A keypad for inches on a phone: figures, the space and the slash of a fraction, and the usual parts of an inch whole. */

import { button, el } from '../cage/dom.js';

const KEYS = ['7', '8', '9', '1/2', '4', '5', '6', '1/4', '1', '2', '3', '1/8', '0', ' ', '/', '1/16'];
const SAID = /** @type {Record<string, string>} */ ({ ' ': 'space' });

/** Whether fingers press here: a keyboard has all that is wanted. */
const fingers = () => matchMedia('(pointer: coarse)').matches;

/**
 * What the text is after a key: a part of an inch is put behind the whole inches, or added to the part that stands there.
 * @param {string} text
 * @param {string} key
 */
export function pressed(text, key) {
  if (!/^\d+\/\d+$/.test(key)) return text + key;
  const [whole, top, under] = /^\s*(\d+)?\s*(?:(\d+)\/(\d+))?\s*$/.exec(text)?.slice(1) ?? [text, undefined, undefined];
  const [a, b] = key.split('/').map(Number);
  const low = Math.max(b, Number(under ?? 1));
  const sum = (a * low) / b + (Number(top ?? 0) * low) / Number(under ?? 1);
  const inches = Number(whole ?? 0) + Math.floor(sum / low);
  return [inches || (sum % low ? '' : '0'), part(sum % low, low)].filter((one) => one !== '').join(' ');
}

/** @param {number} top @param {number} under */
function part(top, under) {
  let [a, b] = [top, under];
  while (a && a % 2 === 0 && b % 2 === 0) [a, b] = [a / 2, b / 2];
  return a ? `${a}/${b}` : '';
}

/**
 * The keypad under an input, where fingers press; null elsewhere.
 * @param {HTMLInputElement} input
 */
export function inchKeypad(input) {
  if (!fingers()) return null;
  input.inputMode = 'none';
  const put = (/** @type {string} */ text) => {
    input.value = text;
    input.dispatchEvent(new Event('input'));
  };
  return el('div', { class: 'inch-keypad', role: 'group', 'aria-label': 'Keypad for inches' },
    KEYS.map((key) => button(SAID[key] ?? key, () => put(pressed(input.value, key)))),
    button('⌫', () => put(input.value.slice(0, -1)), { 'aria-label': 'Take the last away' }));
}
