// The cage at any travel of a push, from the moments that were sent: lines, uses, what is left to people.

/** @typedef {import('../types').Vec3} Vec3 */
/** @typedef {import('../types').RestLine} Line */
/** @typedef {import('../types').Moments} Moments */
/** @typedef {import('../types').TubePoint} At */

const FINE = 10;

/**
 * Which two moments a travel lies between: the first's number, and the part of the way to the next.
 * @param {number[]} travels
 * @param {number} travel
 */
export function between(travels, travel) {
  const last = travels.length - 1;
  if (last < 1 || travel <= travels[0]) return { k: 0, part: 0 };
  if (travel >= travels[last]) return { k: last - 1, part: 1 };
  const k = travels.findIndex((one) => one > travel) - 1;
  return { k, part: (travel - travels[k]) / (travels[k + 1] - travels[k]) };
}

/** @param {number[]} values @param {{k: number, part: number}} at */
const mixed = (values, { k, part }) => values[k] + part * ((values[k + 1] ?? values[k]) - values[k]);

/**
 * Every member's line at that travel.
 * @param {Moments} moments
 * @param {number} travel mm
 * @param {number} [stretch] how many times the movement is drawn
 * @returns {Line[]}
 */
export function linesAt(moments, travel, stretch = 1) {
  const { k, part } = between(moments.travel, travel);
  const [one, two] = [moments.moved[k], moments.moved[k + 1] ?? moments.moved[k]];
  let i = 0;
  return moments.members.map(({ name, points }) => ({
    name,
    points: points.map((point) => {
      const step = [0, 1, 2].map((axis) => one[i + axis] + part * (two[i + axis] - one[i + axis]));
      i += 3;
      return /** @type {Vec3} */ (point.map((value, axis) => value + (stretch * step[axis]) / FINE));
    }),
  }));
}

/** @param {Moments} moments @param {number} travel @returns {number} N */
export const loadAt = (moments, travel) => mixed(moments.load, between(moments.travel, travel));

/**
 * Each member's largest share of its section used by then, 0 up.
 * @param {Moments} moments
 * @param {number} travel
 * @returns {Map<string, number>}
 */
export function usesAt(moments, travel) {
  const { k, part } = between(moments.travel, travel);
  const [one, two] = [moments.use[k], moments.use[k + 1] ?? moments.use[k]];
  return new Map(moments.members.map(({ name }, i) => [name, (one[i] + part * (two[i] - one[i])) / 100]));
}

/**
 * What is left to the people: mm, what is nearest to whose part, and the ends of the gap; null where nobody sits.
 * @param {Moments} moments
 * @param {number} travel
 */
export function roomAt(moments, travel) {
  if (!moments.room) return null;
  const at = between(moments.travel, travel);
  const near = at.part < 0.5 ? at.k : Math.min(at.k + 1, moments.travel.length - 1);
  return { gap: mixed(moments.room.gap, at), by: moments.room.by[near], to: moments.room.to[near], spot: moments.room.spots[near] };
}

/**
 * Where a place of a tube is on the lines of a moment.
 * @param {Line[]} lines
 * @param {At | null} at
 * @returns {Vec3 | null}
 */
export function placeOn(lines, at) {
  const line = at && lines.find((one) => one.name === at.member);
  if (!line) return null;
  if (at.end) return at.end === 'start' ? line.points[0] : line.points[line.points.length - 1];
  const i = Math.min(at.station, line.points.length - 1);
  const [one, two] = [line.points[i], line.points[i + 1] ?? line.points[i]];
  return /** @type {Vec3} */ (one.map((value, axis) => value + at.part * (two[axis] - value)));
}

/**
 * The arrow of what presses: its head on the tool's middle as far as it has come.
 * @param {Moments} moments
 * @param {number} travel
 * @returns {{from: Vec3, to: Vec3} | null}
 */
export function toolAt(moments, travel) {
  const { tool } = moments;
  if (!tool) return null;
  const middle = [0, 1, 2].map((axis) => tool.outline.reduce((sum, one) => sum + one[axis], 0) / tool.outline.length);
  const to = /** @type {Vec3} */ (middle.map((value, axis) => value + travel * tool.way[axis]));
  return { from: /** @type {Vec3} */ (to.map((value, axis) => value - 420 * tool.way[axis])), to };
}

/** The most that any tube's section is used at any moment. @param {Moments} moments */
export const mostUse = (moments) => Math.max(1, ...moments.use.map((row) => Math.max(...row) / 100));

/** Where a use of 1, all that the steel's yield gives, stands on the ramp: what is past it still tells more from less. */
const ALL = 0.7;

/**
 * Where a use stands on the ramp, 0 to 1.
 * @param {number} use share of the section
 * @param {number} most of any tube
 */
export function levelOf(use, most) {
  if (use <= 1) return Math.max(use, 0) * ALL;
  return ALL + (1 - ALL) * Math.min((use - 1) / Math.max(most - 1, 1e-9), 1);
}
