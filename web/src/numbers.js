// Lengths as a builder types them, and as he reads them while he drags; like base/say.py, which says all the rest.

export const MM_PER_IN = 25.4;
const FINEST = 64;
const SCALE = /** @type {Record<string, number>} */ ({
  mm: 1, cm: 10, m: 1000, in: MM_PER_IN, '"': MM_PER_IN, '″': MM_PER_IN, inch: MM_PER_IN, inches: MM_PER_IN, ft: 304.8,
});
const FRACTION = /^([+-])?\s*(?:(\d+)(?:\s+|\s*-\s*))?(\d+)\s*\/\s*(\d+)\s*(\S*)$/;
const PLAIN = /^([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+))\s*(\S*)$/;
const HALVES = /** @type {Record<string, string>} */ ({
  '½': '1/2', '¼': '1/4', '¾': '3/4', '⅛': '1/8', '⅜': '3/8', '⅝': '5/8', '⅞': '7/8',
});

/**
 * The length in mm that the text means, or null where it means none.
 * @param {string} text such as `518`, `45 mm`, `20 3/8 in`, `20-3/8"`
 * @param {import('./shapes').Units} units of a number without a unit
 * @returns {number | null}
 */
export function parseLength(text, units) {
  const plain = text.replace(/[½¼¾⅛⅜⅝⅞]/g, (one) => ` ${HALVES[one]}`).replace(/−/g, '-').trim();
  const part = FRACTION.exec(plain);
  if (part) return fraction(part, units);
  const whole = PLAIN.exec(plain);
  if (!whole) return null;
  return scaled(Number(whole[1].replace(',', '.')), whole[2], units);
}

/** @param {RegExpExecArray} part @param {import('./shapes').Units} units */
function fraction(part, units) {
  const [, sign, whole, top, bottom, unit] = part;
  const under = Number(bottom);
  if (under < 2 || under > FINEST || !Number.isInteger(Math.log2(under))) return null;
  if (whole && Number(top) >= under) return null;
  const size = Number(whole ?? 0) + Number(top) / under;
  return scaled(sign === '-' ? -size : size, unit, units);
}

/** @param {number} value @param {string} unit @param {string} units */
function scaled(value, unit, units) {
  const scale = SCALE[unit || (units === 'mm' ? 'mm' : 'in')];
  const mm = value * (scale ?? NaN);
  return Number.isFinite(mm) && Math.abs(mm) <= 1e6 ? Math.round(mm * 1e9) / 1e9 : null;
}

/**
 * The nearest mark on an inch tape, and what the mark leaves out in mm.
 * @param {number} mm
 * @param {number} [denominator]
 * @returns {{text: string, remainder: number}}
 */
export function toInches(mm, denominator = 32) {
  const marks = roundHalfEven((Math.abs(mm) / MM_PER_IN) * denominator);
  const whole = Math.floor(marks / denominator);
  const part = marks % denominator;
  const shared = divisor(part, denominator);
  const words = [];
  if (whole || !part) words.push(String(whole));
  if (part) words.push(`${part / shared}/${denominator / shared}`);
  const sign = mm < 0 && marks ? '-' : '';
  const exact = (marks / denominator) * MM_PER_IN * (mm < 0 ? -1 : 1);
  return { text: `${sign}${words.join(' ')}"`, remainder: mm - exact };
}

/** As the papers round, so that the screen and the papers never show neighbouring marks. @param {number} value */
function roundHalfEven(value) {
  const low = Math.floor(value);
  if (value - low !== 0.5) return Math.round(value);
  return low % 2 === 0 ? low : low + 1;
}

/** @param {number} a @param {number} b @returns {number} */
function divisor(a, b) {
  return b === 0 ? a || 1 : divisor(b, a % b);
}

/**
 * The length as the builder reads it: `517.5 mm`, `20 3/8"`, or `20.375"` where he wants decimals.
 * @param {number} mm
 * @param {import('./shapes').Units} units
 * @param {number} [places] decimals in mm
 */
export function sayLength(mm, units, places = 1) {
  if (units === 'mm') return `${fixed(mm, places)} mm`;
  return units === 'in' ? toInches(mm).text : `${fixed(mm / MM_PER_IN, 3)}"`;
}

/**
 * Short form for labels in the picture: `518 mm` or `20 3/8"`.
 * @param {number} mm
 * @param {import('./shapes').Units} units
 */
export function shortLength(mm, units) {
  return sayLength(mm, units, 0);
}

/**
 * Text for an input field that means this length again: `517.5`, or `20 3/8 in`; decimals where no mark fits.
 * @param {number} mm
 * @param {import('./shapes').Units} units
 */
export function fieldLength(mm, units) {
  if (units === 'mm') return String(Number(fixed(mm, 2)));
  const mark = toInches(mm, 64);
  if (Math.abs(mark.remainder) < 0.005) return mark.text.replace('"', ' in');
  return `${Number(fixed(mm / MM_PER_IN, 4))} in`;
}

/** @param {number} value @param {number} places no minus sign before a zero */
export function fixed(value, places) {
  const text = value.toFixed(places);
  return Number(text) === 0 ? text.replace('-', '') : text;
}

/** @param {number} rad */
export function sayAngle(rad) {
  return `${fixed((rad * 180) / Math.PI, 1)}°`;
}

/** @param {number} kg @param {import('./shapes').Units} units */
export function sayMass(kg, units) {
  return units === 'mm' ? `${fixed(kg, 1)} kg` : `${fixed(kg / 0.45359237, 1)} lb`;
}
