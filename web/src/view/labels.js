// Where labels go so that none lies on another.

/** @typedef {{left: number, top: number, right: number, bottom: number}} Box */
/** @typedef {{x: number, y: number, wide: number, high: number, gap: number}} Wanted centre of what is labelled, size of the label */

const overlap = (/** @type {Box} */ a, /** @type {Box} */ b) => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;

/**
 * A free box for each label beside its point, in order of importance; null where there is no room for it.
 * @param {Wanted[]} wanted
 * @param {Box} room
 * @param {Box[]} [taken]
 * @returns {(Box | null)[]}
 */
export function placeLabels(wanted, room, taken = []) {
  const used = [...taken];
  return wanted.map((one) => {
    const free = offers(one).find((box) => inside(box, room) && !used.some((other) => overlap(box, other)));
    if (free) used.push(free);
    return free ?? null;
  });
}

/** @param {Box} box @param {Box} room */
const inside = (box, room) => box.left >= room.left && box.top >= room.top && box.right <= room.right && box.bottom <= room.bottom;

/** @param {Wanted} one @returns {Box[]} right, left, above, below and the corners, near first */
function offers({ x, y, wide, high, gap }) {
  /** @type {Box[]} */
  const boxes = [];
  for (const far of [gap, gap + 14, gap + 34, gap + 60]) {
    const [dx, dy] = [far + wide / 2, far + high / 2];
    for (const [cx, cy] of [[x + dx, y], [x, y - dy], [x - dx, y], [x, y + dy], [x + dx, y - dy], [x - dx, y - dy], [x + dx, y + dy], [x - dx, y + dy]]) {
      boxes.push({ left: cx - wide / 2, top: cy - high / 2, right: cx + wide / 2, bottom: cy + high / 2 });
    }
  }
  return boxes;
}

/**
 * Spots for round marks, pushed apart where they would cover each other.
 * @param {{x: number, y: number}[]} spots
 * @param {number} wide of a mark
 * @returns {{x: number, y: number}[]}
 */
export function spread(spots, wide) {
  /** @type {{x: number, y: number}[]} */
  const placed = [];
  for (const spot of spots) placed.push(freeSpot(spot, placed, wide));
  return placed;
}

/** @param {{x: number, y: number}} spot @param {{x: number, y: number}[]} placed @param {number} wide */
function freeSpot(spot, placed, wide) {
  for (let i = 0; i < 90; i += 1) {
    const far = wide * 0.52 * Math.sqrt(i);
    const turn = i * 2.4; // the golden angle: a spiral that fills evenly
    const here = { x: spot.x + far * Math.cos(turn), y: spot.y + far * Math.sin(turn) };
    if (!placed.some((one) => Math.hypot(one.x - here.x, one.y - here.y) < wide)) return here;
  }
  return spot;
}
