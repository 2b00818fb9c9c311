// Readings: matching what was taken to what is wanted.

/** @typedef {import('./types.js').Wanted} Wanted */
/** @typedef {import('./types.js').Taken} Taken */

/** Which reading it is; a tape may be held from either end. @param {{kind: string, a: string, b: string, axis: string}} one */
export function keyOf({ kind, a, b, axis }) {
  const ends = kind === 'tape' ? [a, b].sort() : [a, b];
  return [kind, ...ends, axis].join('|');
}

/**
 * The newest reading that was taken of each that is wanted, and those that nobody asked for.
 * @param {Wanted[]} wanted
 * @param {Taken[]} taken oldest first
 */
export function matched(wanted, taken) {
  const newest = new Map(taken.map((one) => [keyOf(one), one]));
  const rows = wanted.map((one) => ({ wanted: one, taken: newest.get(keyOf(one)) ?? null }));
  const asked = new Set(wanted.map(keyOf));
  return { rows, more: [...newest].filter(([key]) => !asked.has(key)).map(([, one]) => one) };
}

/** What it is, in words: `tape`, `level`, `lean back`. @param {{kind: string, axis: string}} one */
export const kindWords = ({ kind, axis }) => (axis && kind !== 'tape' && kind !== 'level' ? `${kind} ${axis}` : kind);

/** The next reading that is not taken yet, after the one of that number; itself where there is none. @param {{wanted: Wanted, taken: Taken | null}[]} rows @param {number} number */
export function nextOpen(rows, number) {
  const order = [...rows.filter((row) => row.wanted.number > number), ...rows.filter((row) => row.wanted.number <= number)];
  return order.find((row) => !row.taken || !row.taken.used)?.wanted.number ?? number;
}

/**
 * A typed reading with a little more or less of it; the unit that was typed stays.
 * @param {string} text
 * @param {number} by in the unit of the text
 */
export function nudged(text, by) {
  const found = /^(\s*[-−+]?[\d.,]+)(.*)$/.exec(text);
  if (!found || /\//.test(text)) return text;
  const value = Number(found[1].replace(',', '.').replace('−', '-'));
  return Number.isFinite(value) ? `${Math.round((value + by) * 100) / 100}${found[2]}` : text;
}
